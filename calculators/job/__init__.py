"""One job from brief to handover: facts typed once, the runs that rest on them, and what is signed."""

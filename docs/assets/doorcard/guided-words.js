/** What the guided tune says, and what its buttons are called; each screen has its own in `guided-screens.js`. */

export const WORDS = Object.freeze({
  begin: "Begin, one step a screen",
  resume: "Go on where you were",
  whole: "Show the whole page",
  setup: "Channels and settings",
  full: "Show all fields of this step",
  sheet: "Make another sheet",
  anew: "Read back and measure everything again",
  asked: "First say at the top whose tune counts.",
  thrown: "Thrown away: ",
  again: "Record it again",
  keep: "Keep it",
  crossed: "The runs were made with other crossovers. Measure each speaker again whose crossover has changed; if it is the reference speaker, everything. ",
  throwRuns: "Throw all runs away",
  large: "Over 8 MB are more than the runs of one vehicle: not taken. ",
  older: "The curves measured again, and the word, were of another sheet: taken out. ",
  undo: "Undo",
  ended: "Another vehicle has come: the microphone is off, and this run was not kept. ",
  room: "Is the device full, a tune that is kept on it may go for this one. ",
  throwTune: "Throw it away",
  gone: "Thrown away it is gone for good. ",
});

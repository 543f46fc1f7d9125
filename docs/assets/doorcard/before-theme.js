/** Runs before the theme: makes the sitemap's addresses whole, holds the search index back, keeps folds shut on paper. */
{
  /**
   * The theme swaps pages in place only if the sitemap names them by their full address, which the
   * site build cannot know. Only the theme reads XML here, and the sitemap is all it reads.
   */
  const script = /** @type {HTMLScriptElement} */ (document.currentScript);
  const site = new URL("../../", script.src);
  const parse = DOMParser.prototype.parseFromString;
  /** @type {DOMParser["parseFromString"]} */
  DOMParser.prototype.parseFromString = function (text, type) {
    const parsed = parse.call(this, text, type);
    if (type === "text/xml") {
      for (const place of parsed.getElementsByTagName("loc")) {
        place.textContent = new URL(place.textContent ?? "", site).href;
      }
    }
    return parsed;
  };

  /** The theme unfolds everything for paper: what the reader had opened before is noted down first. */
  addEventListener("beforeprint", () => {
    for (const details of document.querySelectorAll("details")) details.toggleAttribute("data-opened", details.open);
  });

  /**
   * The theme fetches and reads the search index at once, which takes as long as half of waking
   * Python does and at the same time. It gets the index when the reader turns to the search.
   */
  const turnedToSearch = new Promise((/** @type {(value?: undefined) => void} */ settle) => {
    addEventListener("focusin", ({ target }) => {
      if (target instanceof Element && target.matches("[data-md-component=search-query]")) settle();
    });
  });
  const open = XMLHttpRequest.prototype.open;
  /** @param {[method: string, address: string | URL]} request */
  XMLHttpRequest.prototype.open = function (...request) {
    open.apply(this, /** @type {[string, string | URL, boolean]} */ (/** @type {unknown} */ (request)));
    const [, address] = request;
    if (!String(address).endsWith("/search_index.json")) return;
    /** @param {Document | XMLHttpRequestBodyInit | null} [body] */
    this.send = async (body) => {
      await turnedToSearch;
      XMLHttpRequest.prototype.send.call(this, body);
    };
  };
}

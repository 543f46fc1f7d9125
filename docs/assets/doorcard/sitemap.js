/**
 * Runs before the theme: makes the addresses in the sitemap whole.
 *
 * The theme swaps pages in place only if the sitemap names them by their full address, which the
 * site build cannot know. Only the theme reads XML here, and the sitemap is all it reads.
 */
{
  const site = new URL("../../", document.currentScript.src);
  const parse = DOMParser.prototype.parseFromString;
  DOMParser.prototype.parseFromString = function (text, type) {
    const parsed = parse.call(this, text, type);
    if (type === "text/xml") {
      for (const place of parsed.getElementsByTagName("loc")) {
        place.textContent = new URL(place.textContent, site).href;
      }
    }
    return parsed;
  };
}

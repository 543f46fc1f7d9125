/**
 * The element that our own HTML is known to hold, as the kind it is.
 * @template {Element} Kind
 * @param {ParentNode | null | undefined} root
 * @param {string} selector
 * @param {new (...arguments_: any[]) => Kind} kind
 * @returns {Kind}
 * @throws {Error} if there is none: the page and its script are of different releases.
 */
export function part(root, selector, kind) {
  const found = root?.querySelector(selector);
  if (!(found instanceof kind)) throw new Error(`This page holds no ${selector}.`);
  return found;
}

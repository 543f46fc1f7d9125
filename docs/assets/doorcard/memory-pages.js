/**
 * Python's memory in pages, as a start is written: a byte for each page, then the pages that are written down.
 */

const PAGE = 4096; // Bytes.
/** What is told of each page; a page as the interpreter has laid it out by itself has another sign, and is left. */
const ZERO = 0;
const CHANGED = 2; // From what the interpreter has laid out: it changes as told.
const WHOLE = 3;

/**
 * Writes a memory in pages; all that are not zero are written down.
 * @param {Uint8Array} heap
 * @returns {Uint8Array<ArrayBuffer>}
 */
export function pagesOf(heap) {
  const count = heap.length / PAGE;
  const words = new Uint32Array(heap.buffer, heap.byteOffset);
  const pages = new Uint8Array(count + heap.length);
  let written = count;
  for (let page = 0; page < count; page += 1) {
    const [begin, end] = [page * PAGE, (page + 1) * PAGE];
    let word = begin / 4;
    while (word < end / 4 && words[word] === 0) word += 1;
    if (word === end / 4) continue; // `ZERO`, as it stands there.
    pages[page] = WHOLE;
    pages.set(heap.subarray(begin, end), written);
    written += PAGE;
  }
  return pages.slice(0, written);
}

/**
 * Lays a memory over that of an interpreter which has just been made.
 * @param {Uint8Array} heap
 * @param {Uint8Array} pages A byte for each page of the memory, then the pages that are written down.
 * @throws {Error} if they are not those of a memory of that length.
 */
export function layPages(heap, pages) {
  const count = heap.length / PAGE;
  const words = new Uint32Array(heap.buffer, heap.byteOffset);
  const changes = new Uint32Array(pages.buffer, pages.byteOffset);
  let written = count;
  for (let page = 0; page < count; page += 1) {
    const place = page * PAGE;
    if (pages[page] === ZERO) heap.fill(0, place, place + PAGE);
    if (pages[page] === WHOLE) heap.set(pages.subarray(written, written + PAGE), place);
    if (pages[page] === CHANGED) {
      for (let word = 0; word < PAGE / 4; word += 1) words[place / 4 + word] ^= changes[written / 4 + word];
    }
    if (pages[page] >= CHANGED) written += PAGE;
  }
  if (written !== pages.length) throw new Error("The start is of another memory.");
}

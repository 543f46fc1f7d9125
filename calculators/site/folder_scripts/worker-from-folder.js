/**
 * The worker's part of the folder edition: it may load nothing, so its `fetch` asks the page (`from-folder.js`).
 * It runs before the worker's own script, which hears no answer to it.
 */
{
  /** @type {Map<string, {settle: (response: Response) => void, refuse: (error: Error) => void}>} */
  const awaited = new Map();

  addEventListener("message", (event) => {
    const { wanted, bytes, fault } = /** @type {MessageEvent<{wanted?: string, bytes?: Blob, fault?: string}>} */ (event).data;
    if (!wanted) return;
    event.stopImmediatePropagation();
    const asked = awaited.get(wanted);
    awaited.delete(wanted);
    if (bytes) asked?.settle(new Response(bytes));
    else asked?.refuse(new Error(fault));
  });

  /** @type {typeof fetch} */
  globalThis.fetch = (resource) =>
    new Promise((settle, refuse) => {
      const wanted = resource instanceof Request ? resource.url : String(resource);
      awaited.set(wanted, { settle, refuse });
      postMessage({ wanted });
    });
}

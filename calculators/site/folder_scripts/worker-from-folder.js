/**
 * The worker's part of the folder edition: it may load nothing, so its `fetch` asks the page (`from-folder.js`).
 * It runs before the worker's own script, which hears no answer to it.
 */
{
  /** @type {Map<string, (response: Response) => void>} */
  const awaited = new Map();

  addEventListener("message", (event) => {
    const { wanted, bytes } = /** @type {MessageEvent<{wanted?: string, bytes: Blob | null}>} */ (event).data;
    if (!wanted) return;
    event.stopImmediatePropagation();
    awaited.get(wanted)?.(bytes ? new Response(bytes) : new Response(null, { status: 404 }));
    awaited.delete(wanted);
  });

  /** @type {typeof fetch} */
  globalThis.fetch = (resource) =>
    new Promise((settle) => {
      const wanted = resource instanceof Request ? resource.url : String(resource);
      awaited.set(wanted, settle);
      postMessage({ wanted });
    });
}

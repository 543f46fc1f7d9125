/**
 * The page's part of the folder edition. It runs first, and does by other means what a browser refuses to a page
 * that was opened from a folder: `fetch`, and workers made from a file.
 *
 * A script is the one thing that such a page may load. So beside each file that scripts ask for lies NAME.js, which
 * hands the file's bytes to `doorcardFile` in base64. A worker may load nothing at all: it asks the page
 * (`worker-from-folder.js`).
 */
{
  /** Files asked for, by their address; kept for the next worker. @type {Map<string, Promise<Blob>>} */
  const files = new Map();
  /** @type {Map<string, (bytes: Blob) => void>} */
  const awaited = new Map();

  /** Every file's script calls it. @param {string} base64 */
  const doorcardFile = (base64) => {
    const { src } = /** @type {HTMLScriptElement} */ (document.currentScript);
    const letters = atob(base64);
    const bytes = new Uint8Array(letters.length);
    for (let at = 0; at < letters.length; at += 1) bytes[at] = letters.charCodeAt(at);
    awaited.get(src.replace(/\.js$/, ""))?.(new Blob([bytes]));
  };
  Object.assign(globalThis, { doorcardFile });

  /**
   * The bytes of a file of this folder; as with `fetch`, a TypeError if there are none, which the engine hands on to the
   * reader. What failed is asked for anew: the folder may be whole by then.
   * @param {string | URL} place
   */
  const bytesOf = (place) => {
    const address = new URL(place, document.baseURI).href;
    const known = files.get(address);
    if (known) return known;
    /** @type {Promise<Blob>} */
    const asked = new Promise((settle, refuse) => {
      awaited.set(address, settle);
      const script = document.createElement("script");
      script.src = `${address}.js`;
      /** @param {string} fault */
      const end = (fault) => {
        script.remove();
        awaited.delete(address);
        refuse(new TypeError(`${script.src.replace(/.*\//, "")} is ${fault}: unpack the folder anew.`));
      };
      script.onload = () => end("damaged"); // Of no effect once its bytes were handed over.
      script.onerror = () => end("missing");
      document.head.append(script);
    });
    files.set(address, asked);
    asked.catch(() => files.delete(address));
    return asked;
  };

  /** @type {typeof fetch} */
  globalThis.fetch = async (resource) => {
    const bytes = await bytesOf(resource instanceof Request ? resource.url : resource);
    return new Response(bytes, { headers: { "Content-Length": String(bytes.size) } });
  };

  const OwnWorker = Worker;

  /** A worker whose script is fetched as every file is; what it is told before that waits. */
  class FolderWorker extends EventTarget {
    /** @type {((event: MessageEvent) => void) | null} */
    onmessage = null;
    /** @type {((event: ErrorEvent) => void) | null} */
    onerror = null;

    /** @param {string | URL} place */
    constructor(place) {
      super();
      this.started = this.start(new URL(place, document.baseURI).href);
      this.started.catch((error) => this.tellError(String(error)));
    }

    /** @param {string} address Also the worker's name: its own address says nothing. */
    async start(address) {
      const script = URL.createObjectURL(await bytesOf(address));
      const worker = new OwnWorker(script, { name: address });
      worker.onmessage = ({ data }) => (data.wanted ? this.handOver(worker, data.wanted) : this.tell(data));
      worker.onerror = ({ message }) => this.tellError(message);
      return worker;
    }

    /**
     * @param {Worker} worker
     * @param {string} wanted The address of a file.
     */
    async handOver(worker, wanted) {
      worker.postMessage({ wanted, ...(await bytesOf(wanted).then((bytes) => ({ bytes }), ({ message }) => ({ fault: message }))) });
    }

    /** @param {unknown} data */
    tell(data) {
      const event = new MessageEvent("message", { data });
      this.onmessage?.(event);
      this.dispatchEvent(event);
    }

    /** @param {string} message */
    tellError(message) {
      const event = new ErrorEvent("error", { message });
      this.onerror?.(event);
      this.dispatchEvent(event);
    }

    /**
     * @param {unknown} message
     * @param {Transferable[]} [transferred]
     */
    postMessage(message, transferred = []) {
      this.started.then((worker) => worker.postMessage(message, transferred), () => {});
    }

    terminate() {
      this.started.then((worker) => worker.terminate(), () => {});
    }
  }
  Object.assign(globalThis, { Worker: FolderWorker });
}

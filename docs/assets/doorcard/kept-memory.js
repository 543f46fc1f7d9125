/** A worker that reads and unpacks the memory of a start kept on the device, for the one that wakes it. */

import { handOver } from "./kept-start.js";

/** @param {MessageEvent<MessagePort>} event */
self.onmessage = async ({ data: port }) => {
  await handOver(port);
  self.close();
};

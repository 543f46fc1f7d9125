/** What the site build writes above the service worker. */
declare const RELEASE: { build: string; list: string; policy: string };

/** Chromium alone says it: the device's memory in GB, at most 8, and whether the reader wants data saved. */
interface Navigator {
  readonly deviceMemory?: number;
  readonly connection?: { readonly saveData: boolean; readonly effectiveType?: string };
}

/** What the audio thread offers (Web Audio API, W3C), for `tap.js` alone. */
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}
declare function registerProcessor(name: string, processor: typeof AudioWorkletProcessor): void;
declare const currentFrame: number;

/** What the site build wrote about the calculators' files. */
declare module "*/runtime/manifest.js" {
  export const manifest: import("../../docs/assets/doorcard/messages.js").Manifest;
}

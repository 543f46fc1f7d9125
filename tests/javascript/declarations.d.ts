/** What the site build writes above the service worker. */
declare const RELEASE: { build: string; list: string; policy: string };

/** Chromium alone says it: the device's memory in GB, at most 8. */
interface Navigator {
  readonly deviceMemory?: number;
}

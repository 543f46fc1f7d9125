/** What the site build writes above the service worker. */
declare const RELEASE: { build: string; list: string; policy: string };

/** What `make_start.mjs` takes of Node. */
declare module "node:fs" {
  export function readFileSync(place: URL): Uint8Array<ArrayBuffer>;
  export function readFileSync(place: URL, encoding: "utf8"): string;
  export function writeFileSync(place: string, contents: Uint8Array): void;
  export function writeSync(file: number, text: string): void;
}
declare module "node:process" {
  export const argv: string[];
  export const stdout: { write(text: string): void };
  export function exit(status: number): never;
}
declare module "node:url" {
  export function pathToFileURL(path: string): URL;
}

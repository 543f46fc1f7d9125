/**
 * Tells the SHA-256 of the memory that each interpreter given lays out by itself: its data, and the pointers in them.
 */

import { createHash } from "node:crypto";
import { readFileSync } from "node:fs";
import { argv, stdout } from "node:process";

/** @type {Record<string, number>} */
const PLACES = { __memory_base: 1024, __table_base: 1 };
/** What an interpreter changes, or is told later: these the linker imports so. */
const MUTABLE = /^GOT\.|^env __stack_pointer$/;

/** @param {WebAssembly.Module} module @param {WebAssembly.Memory} memory */
function importsOf(module, memory) {
  /** @type {Record<string, Record<string, any>>} */
  const imports = {};
  for (const { module: from, name, kind } of WebAssembly.Module.imports(module)) {
    const made = {
      function: () => () => 0,
      global: () => new WebAssembly.Global({ value: "i32", mutable: MUTABLE.test(`${from} ${name}`) }, PLACES[name] ?? 0),
      memory: () => memory,
      table: () => new WebAssembly.Table({ initial: 10_000, element: "anyfunc" }),
      tag: () => new /** @type {any} */ (WebAssembly).Tag({ parameters: ["i32"] }),
    };
    (imports[from] ??= {})[name] = made[/** @type {keyof made} */ (kind)]();
  }
  return imports;
}

for (const path of argv.slice(2)) {
  const memory = new WebAssembly.Memory({ initial: 320, maximum: 65_536 });
  const module = new WebAssembly.Module(readFileSync(path));
  const { exports } = new WebAssembly.Instance(module, importsOf(module, memory));
  /** @type {any} */ (exports).__wasm_apply_data_relocs();
  stdout.write(`${createHash("sha256").update(new Uint8Array(memory.buffer)).digest("hex")}\n`);
}

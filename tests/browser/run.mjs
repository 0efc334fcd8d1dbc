// The browser tests: node run.mjs [WORD of a file's name ...]. Ends with 77 where they cannot run.
import {existsSync, readdirSync} from "node:fs";
import {fileURLToPath} from "node:url";

const kSkipped = 77;
const kHere = new URL("./", import.meta.url);

function missing() {
    if (!existsSync(fileURLToPath(new URL("node_modules/playwright-core", kHere)))) return "run 'npm ci' in tests/browser first";
    if (!existsSync(fileURLToPath(new URL("node_modules/axe-core", kHere)))) return "run 'npm ci' in tests/browser first";
    const browser = process.env.ISOSEAM_CHROMIUM ?? "/usr/bin/chromium";
    if (!existsSync(browser)) return `install chromium: there is no ${browser}`;
    return null;
}

const reason = missing();
if (reason) {
    console.log(`skipped: ${reason}`);
    process.exit(kSkipped);
}
const wanted = process.argv.slice(2);
for (const file of readdirSync(kHere).filter((name) => name.endsWith("_test.mjs")).sort()) {
    if (wanted.length === 0 || wanted.some((word) => file.includes(word))) await import(new URL(file, kHere));
}

import { execFileSync, spawnSync } from 'node:child_process';
import { accessSync, constants, existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

/**
 * Prints the path of a Chromium for the browser tests. Where there is none, it is installed on Debian as root; else
 * this says what to install and fails: the tests are never skipped in silence. `--find` only looks.
 */
const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'];
const FOLDERS = ['/usr/bin', '/usr/local/bin', '/snap/bin', ...(process.env.PATH ?? '').split(delimiter)];
const MAC = '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome';

function find() {
  const set = process.env.BAYWARDEN_CHROMIUM;
  const places = FOLDERS.filter((folder) => folder !== '').flatMap((folder) =>
    NAMES.map((name) => join(folder, name)),
  );
  return (set === undefined || set === '' ? [...places, MAC] : [set]).find(runs) ?? null;
}

function runs(path) {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch {
    return false;
  }
}

function install() {
  const asRoot = process.getuid?.() === 0 && existsSync('/etc/debian_version');
  if (!asRoot || process.env.BAYWARDEN_CHROMIUM) return;
  console.error('No Chromium here: installing it with apt-get for the browser tests.');
  const options = { stdio: ['ignore', 2, 2], env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
  spawnSync('apt-get', ['update', '-q'], options);
  spawnSync('apt-get', ['install', '-y', '-q', '--no-install-recommends', 'chromium'], options);
}

let found = find();
if (found === null && !process.argv.includes('--find')) {
  install();
  found = find();
}
if (found === null) {
  console.error(
    process.env.BAYWARDEN_CHROMIUM
      ? `BAYWARDEN_CHROMIUM is ${process.env.BAYWARDEN_CHROMIUM}, and nothing there can be run.`
      : 'The browser tests need Chromium. Install it (Debian: apt-get install chromium), or set BAYWARDEN_CHROMIUM to the path of a Chromium or Chrome.',
  );
  process.exitCode = 1;
} else {
  console.log(found);
  if (!process.argv.includes('--find'))
    console.error(
      execFileSync(found, ['--version'], { encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim(),
    );
}

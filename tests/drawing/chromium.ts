/** Chromium as another reader of SVG: it is given a page with a script, and what the script writes is read back. */
import { spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

/** The browser, or the reason why none is used. */
export const findChromium = (): { readonly program: string } | { readonly missing: string } => {
  for (const program of ['chromium', 'chromium-browser', 'google-chrome']) {
    if (spawnSync(program, ['--version']).status === 0) return { program };
  }
  return { missing: 'no chromium here (Debian: apt-get install chromium)' };
};

/** Runs `script` in a page; it has `input`, and its value, awaited, is what comes back. */
export const inChromium = async <Input, Output>(
  program: string,
  input: Input,
  script: string,
): Promise<Output> => {
  const folder = mkdtempSync(join(tmpdir(), 'reseat-chromium-'));
  try {
    const data = JSON.stringify(input).replace(/</g, '\\u003c');
    const page = join(folder, 'page.html');
    writeFileSync(
      page,
      `<!doctype html><meta charset="utf-8"><body></body><script>
const input = ${data};
const write = (text) => { const pre = document.createElement('pre'); pre.id = 'answer'; pre.textContent = encodeURIComponent(text); document.body.replaceChildren(pre); };
(async () => { ${script} })().then((value) => write(JSON.stringify({ value })), (error) => write(JSON.stringify({ error: String(error.stack ?? error) })));
</script>`,
    );
    const html = await dumped(program, pathToFileURL(page).href, folder);
    const answer = /<pre id="answer">([^<]*)<\/pre>/.exec(html)?.[1];
    if (answer === undefined) throw new Error(`chromium gave no answer: ${html.slice(0, 400)}`);
    const { value, error } = JSON.parse(decodeURIComponent(answer));
    if (error !== undefined) throw new Error(`in chromium: ${error}`);
    return value;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
};

const dumped = (program: string, url: string, folder: string): Promise<string> =>
  new Promise((resolve, reject) => {
    const browser = spawn(program, [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-dev-shm-usage',
      `--user-data-dir=${join(folder, 'profile')}`,
      '--virtual-time-budget=100000',
      '--dump-dom',
      url,
    ]);
    let out = '';
    browser.stdout.setEncoding('utf8').on('data', (data: string) => {
      out += data;
    });
    browser.on('error', reject);
    browser.on('close', () => resolve(out));
  });

/** For each drawing the circles that are seen, in order: id and stroke, `#rrggbb` or none. */
export const computedStyles = (program: string, drawings: readonly string[]): Promise<string[][]> =>
  inChromium(
    program,
    drawings,
    `return input.map((text) => {
  const host = document.createElement('div');
  document.body.append(host);
  const root = host.attachShadow({ mode: 'open' });
  const svg = document.importNode(new DOMParser().parseFromString(text, 'image/svg+xml').documentElement, true);
  root.append(svg);
  const hex = (paint) => {
    const channels = /^rgba?\\(([^)]*)\\)/.exec(paint);
    if (!channels) return paint;
    return '#' + channels[1].split(',').slice(0, 3).map((c) => Math.round(Number(c)).toString(16).padStart(2, '0')).join('');
  };
  const shown = [...svg.querySelectorAll('circle')].filter((circle) => {
    for (let at = circle; at !== svg; at = at.parentNode) if (getComputedStyle(at).display === 'none') return false;
    return getComputedStyle(circle).visibility === 'visible';
  });
  const found = shown.map((circle) => circle.id + ' ' + hex(getComputedStyle(circle).stroke));
  host.remove();
  return found;
});`,
  );

/** For each drawing the box of the one shape in its group, in user units: x, y, width, height to two decimals. */
export const boxesIn = (program: string, drawings: readonly string[]): Promise<string[]> =>
  inChromium(
    program,
    drawings,
    `return input.map((text) => {
  const host = document.createElement('div');
  document.body.append(host);
  const root = host.attachShadow({ mode: 'open' });
  root.append(document.importNode(new DOMParser().parseFromString(text, 'image/svg+xml').documentElement, true));
  const { x, y, width, height } = root.querySelector('g > *').getBBox();
  host.remove();
  return [x, y, width, height].map((value) => value.toFixed(2)).join(' ');
});`,
  );

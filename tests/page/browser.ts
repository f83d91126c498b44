/** Debian's chromium with the built page in it, and how the page is filled in as a person would. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';

const root = fileURLToPath(new URL('../../', import.meta.url));
export const builtPage = join(root, 'dist/page.html');
export const fernFolder = join(root, 'calibration/fern-screen');
const executablePath = '/usr/bin/chromium';

/** Why pages cannot be tried here; undefined where they can. */
export const missingBrowser = existsSync(executablePath)
  ? undefined
  : 'no /usr/bin/chromium here (Debian: apt-get install chromium)';
if (missingBrowser !== undefined) console.warn(`The page is not tried in a browser: ${missingBrowser}`);

export const launch = async (): Promise<Browser> => {
  readFileSync(builtPage); // "npm run build" makes it
  return chromium.launch({ executablePath, args: ['--no-sandbox'] });
};

export const wide = { width: 1280, height: 800 };

export interface OpenPage {
  readonly page: Page;
  /** What the page complained about, and every address it asked for beside its own. */
  readonly complaints: readonly string[];
}

export const open = async (browser: Browser, file = builtPage, size = wide): Promise<OpenPage> => {
  const page = await browser.newPage({ viewport: size });
  page.setDefaultTimeout(30_000);
  const complaints: string[] = [];
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error' || message.type() === 'warning') complaints.push(message.text());
  });
  page.on('request', (request) => {
    if (!/^(file:\/\/|data:|blob:)/.test(request.url())) complaints.push(`asked for ${request.url()}`);
  });
  await page.goto(pathToFileURL(file).href);
  return { page, complaints };
};

export const fernReadings = {
  A: [429.67, 157.21],
  B: [795.12, 174.1],
  C: [772.84, 731.85],
  D: [411.75, 700.96],
} as const;

const marks = ['A', 'B', 'C', 'D'] as const;

/** The drawing of the fern screen, the readings over some of its marks, a clearance, a kerf and an sd; then waits for what comes of it. */
export const fillFern = async (
  page: Page,
  read: readonly (keyof typeof fernReadings)[] = marks,
): Promise<void> => {
  if ((await page.textContent('#drawing-name')) !== 'fern-screen.svg')
    await page.setInputFiles('#drawing', join(fernFolder, 'fern-screen.svg'));
  await page.getByLabel('a sheet, set back from every opening').check();
  for (const mark of marks) {
    const [x, y] = read.includes(mark) ? fernReadings[mark] : ['', ''];
    await page.getByLabel(`Display x over mark ${mark}`).fill(String(x));
    await page.getByLabel(`Display y over mark ${mark}`).fill(String(y));
  }
  await page.getByLabel('Clearance, each side').fill('0.5');
  await page.getByLabel('Kerf, full width').fill('0.12');
  await page.getByLabel('One reading, sd per axis').fill('0.1');
  await settled(page);
};

/** Waits until what was typed has been worked out; every field says at once that something is to be. */
export const settled = async (page: Page): Promise<void> => {
  await page.waitForFunction(() => !document.querySelector('#verdict.busy'));
};

export const shown = async (page: Page) => ({
  verdict: await page.getAttribute('#verdict', 'data-verdict'),
  needed: Number(await page.getAttribute('#needed', 'data-value')),
  risk: Number(await page.getAttribute('#shown-risk', 'data-value')),
});

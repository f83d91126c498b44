/** Debian's chromium with the built page in it, and how the page is filled in as a person would. */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { type Browser, chromium, type Page } from 'playwright-core';
import { expect } from 'vitest';

const root = fileURLToPath(new URL('../../', import.meta.url));
export const builtPage = join(root, 'dist/page.html');
export const fernFolder = join(root, 'calibration/fern-screen');
export const axePath = join(root, 'node_modules/axe-core/axe.min.js');
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

export const wide = { width: 1280, height: 900 };

export interface OpenPage {
  readonly page: Page;
  /** What the page complained about, and every address it asked for beside its own. */
  readonly complaints: readonly string[];
}

/** A page of its own browser context: nothing that another one kept is there. */
export const open = async (
  browser: Browser,
  file = builtPage,
  size = wide,
  hasTouch = false,
): Promise<OpenPage> => {
  const context = await browser.newContext({ viewport: size, hasTouch });
  const page = await context.newPage();
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
  await page.waitForSelector('.sheet');
  return { page, complaints };
};

export const fernReadings = {
  A: [429.67, 157.21],
  B: [795.12, 174.1],
  C: [772.84, 731.85],
  D: [411.75, 700.96],
} as const;

const marks = ['A', 'B', 'C', 'D'] as const;

/** Opens the fern screen with a job that has readings over some of its marks, a clearance, a kerf and an sd; then waits for what comes of it. */
export const fillFern = async (
  page: Page,
  read: readonly (keyof typeof fernReadings)[] = marks,
): Promise<void> => {
  const readings = read.map((mark) => `  ${mark}: [${fernReadings[mark].join(', ')}]`);
  const job = [
    'title: fern-screen',
    'drawing: fern-screen.svg',
    ...(readings.length === 0 ? [] : ['readings:', ...readings]),
    'machine:',
    '  axes: y-up',
    'fit:',
    '  reading-sd: 0.1',
    'cut:',
    '  clearance: 0.5',
    '  kerf: 0.12',
    '',
  ];
  await page.setInputFiles('#files', [
    { name: 'fern-screen.yaml', mimeType: 'application/yaml', buffer: Buffer.from(job.join('\n')) },
    {
      name: 'fern-screen.svg',
      mimeType: 'image/svg+xml',
      buffer: readFileSync(join(fernFolder, 'fern-screen.svg')),
    },
  ]);
  await field(page, 'x of A').waitFor();
  await settled(page);
};

export const field = (page: Page, label: string) => page.getByLabel(label, { exact: true });

/** Waits until what was typed has been worked out. */
export const settled = async (page: Page): Promise<void> => {
  await page.waitForFunction(() => document.querySelector('.sheet')?.getAttribute('data-working') === 'no');
};

export const verdictState = (page: Page): Promise<string | null> =>
  page.getAttribute('#verdict', 'data-state');

export const noComplaint = ({ complaints }: OpenPage): void => expect(complaints).toEqual([]);

export const saved = async (page: Page, name: string): Promise<{ name: string; text: string }> => {
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('button', { name, exact: true }).click(),
  ]);
  return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
};

/** axe-core in the page, as its rules for WCAG 2.2 A and AA have it. */
export const violations = async (page: Page): Promise<string[]> => {
  const session = await page.context().newCDPSession(page);
  // The page lets no script in that is not its own, so the checker comes through the debugger.
  await session.send('Runtime.evaluate', { expression: readFileSync(axePath, 'utf8') });
  const { result } = await session.send('Runtime.evaluate', {
    awaitPromise: true,
    returnByValue: true,
    expression: `axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']})
      .then(({violations}) => violations.map(({id, nodes}) => id + ': ' + nodes.map(({html}) => html.slice(0, 120)).join(' | ')))`,
  });
  return result.value as string[];
};

export const drop = async (page: Page, dropped: readonly { name: string; text: string }[]): Promise<void> => {
  const data = await page.evaluateHandle((list) => {
    const transfer = new DataTransfer();
    for (const { name, text } of list) transfer.items.add(new File([text], name));
    return transfer;
  }, dropped);
  await page.dispatchEvent('.sheet', 'drop', { dataTransfer: data });
};

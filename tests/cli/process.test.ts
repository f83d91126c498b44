/** The program as a process of its own; `npm test` builds it first. */
import { spawn, spawnSync } from 'node:child_process';
import { cpSync, existsSync, openSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeAll, describe, expect, it } from 'vitest';
import { workshop } from './workshop.js';

const bin = fileURLToPath(new URL('../../bin/reseat.js', import.meta.url));

beforeAll(() => {
  const built = fileURLToPath(new URL('../../dist/cli.js', import.meta.url));
  if (!existsSync(built)) throw new Error('dist/ is not there: run "npm run build" first');
});

const call = (cwd: string, ...argv: string[]) =>
  spawnSync(process.execPath, [bin, ...argv], { cwd, encoding: 'utf8' });

describe('the process', () => {
  it('ends with the status of the call', () => {
    const { folder } = workshop();
    expect(call(folder, 'fit', '--json', 'job.yaml').status).toBe(0);
    expect(call(folder, 'fit', 'nope.yaml').status).toBe(2);
    expect(call(folder).status).toBe(2);
  });

  it('keeps stdout for the JSON and stderr for messages', () => {
    const { folder } = workshop();
    const { stdout, stderr } = call(folder, 'fit', '--json', 'job.yaml', 'nope.yaml');
    expect(JSON.parse(stdout).job).toBe('job.yaml');
    expect(stderr).toMatch(/^reseat: nope\.yaml\n/);
    expect(stderr).not.toMatch(/^\s+at /m);
  });

  it('does not mind a reader that stops early', () => {
    const { folder } = workshop();
    const script = 'set -o pipefail; "$0" "$1" list --json $(yes panel.svg | head -n 400) | head -c 20';
    const run = spawnSync('bash', ['-c', script, process.execPath, bin], { cwd: folder, encoding: 'utf8' });
    expect(run.stderr).toBe('');
    expect(run.stdout).toBe('{"schemaVersion":"0.');
    expect(run.status).toBe(0);
  });

  it('says so when its output cannot be written', () => {
    const { folder } = workshop();
    const full = openSync('/dev/full', 'w');
    const run = spawnSync(process.execPath, [bin, 'fit', '--json', 'job.yaml'], {
      cwd: folder,
      encoding: 'utf8',
      stdio: ['ignore', full, 'pipe'],
    });
    expect(run.status).toBe(2);
    expect(run.stderr).toContain('reseat: the output cannot be written');
  });

  it('says what to do where it was not built', () => {
    const { folder } = workshop();
    cpSync(bin, join(folder, 'copy/bin/reseat.js'));
    writeFileSync(join(folder, 'copy/package.json'), '{"type": "module"}');
    const run = spawnSync(process.execPath, [join(folder, 'copy/bin/reseat.js'), 'fit', 'job.yaml'], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect(run.status).toBe(2);
    expect(run.stderr).toMatch(/^reseat: dist\/ is not there\.\n {2}next: Run "npm run build"/);
  });

  it('writes a cut file', () => {
    const { folder } = workshop();
    expect(call(folder, 'cut', 'job.yaml', '-o', 'a.svg').status).toBe(0);
    expect(readFileSync(join(folder, 'a.svg'), 'utf8')).toContain('</svg>');
  });
});

describe('several calls at once', () => {
  const begin = (cwd: string, ...argv: string[]) => {
    const child = spawn(process.execPath, [bin, ...argv], { cwd, stdio: 'ignore' });
    return new Promise<number | null>((done) => child.on('close', done));
  };

  it('that write parts of one profile lose none of them and leave no lock', async () => {
    const { folder, write } = workshop();
    for (const part of ['bed', 'kerf', 'pointer'])
      write(
        `${part}.csv`,
        readFileSync(
          fileURLToPath(new URL(`../../calibration/example-machine/${part}.csv`, import.meta.url)),
          'utf8',
        ),
      );
    const ends = await Promise.all(
      ['bed', 'kerf', 'pointer'].map((part) =>
        begin(folder, 'calibrate', part, `${part}.csv`, '--profile', 'bench.yaml'),
      ),
    );
    expect(ends).toEqual([0, 0, 0]);
    const profile = readFileSync(join(folder, 'bench.yaml'), 'utf8');
    for (const key of ['bed-map', 'kerf', 'reading-sd']) expect(profile).toMatch(new RegExp(`^${key}:`, 'm'));
    expect(readdirSync(folder).filter((name) => /lock|part$/.test(name))).toEqual([]);
  });

  it('that are stopped while they write leave whole files or none', async () => {
    const { folder } = workshop();
    const left = [];
    for (let after = 0; after < 6; after++) {
      const child = spawn(process.execPath, [bin, 'cut', 'job.yaml', '-o', `${after}.svg`], { cwd: folder });
      const ended = new Promise((done) => child.on('close', done));
      // As soon as anything of the result is seen, with a little more delay each time.
      while (child.exitCode === null && !readdirSync(folder).some((name) => name.startsWith(`${after}.svg`)))
        await new Promise((next) => setTimeout(next, after));
      child.kill(after % 2 === 0 ? 'SIGINT' : 'SIGTERM');
      await ended;
      left.push(...readdirSync(folder).filter((name) => name.startsWith(`${after}.svg`)));
      expect(readFileSync(join(folder, `${after}.svg`), 'utf8')).toMatch(/<\/svg>\n$/);
    }
    expect(left.filter((name) => name.includes('part'))).toEqual([]);
  });
});

describe('progress', () => {
  /** A call on a terminal of its own, by `script` of util-linux. */
  const onTerminal = (folder: string, command: string) => {
    const run = spawnSync('script', ['-qec', command, 'typed.txt'], { cwd: folder, encoding: 'utf8' });
    if (run.error) throw run.error;
    return { status: run.status, shown: run.stdout };
  };

  it('is shown on a terminal when a call takes more than a second, and taken away at its end', () => {
    const shop = workshop();
    const many = Array.from({ length: 2700 }, (_, i) => {
      const [x, y] = [20 + (i % 50) * 3, 20 + Math.floor(i / 50) * 1.2];
      return `<path id="p${i}" d="M${x} ${y}c.3 -.4 .7 -.4 1 0c-.3 .4 -.7 .4 -1 0z"/>`;
    });
    const openings = `<g id="openings">${many.join('')}</g>`;
    writeFileSync(
      join(shop.folder, 'panel.svg'),
      shop.read('panel.svg').replace(/<g id="openings">.*?<\/g>/s, openings),
    );
    writeFileSync(
      join(shop.folder, 'job.yaml'),
      shop.read('job.yaml').replace('clearance: 0.5, kerf: 0.2', 'clearance: 0.05, kerf: 0.02'),
    );
    const names = Array.from({ length: 3 }, (_, i) => {
      shop.write(`job-${i}.yaml`, shop.read('job.yaml'));
      return `job-${i}.yaml`;
    });
    shop.write('out/.keep', '');
    const { status, shown } = onTerminal(
      shop.folder,
      `'${process.execPath}' '${bin}' cut ${names.join(' ')} -o out > done.txt`,
    );
    // Openings this close together are cut, but the error does not fit.
    expect(status).toBe(1);
    expect(shown).toMatch(/cutting job-\d\.yaml \(\d of 3\) \.\.\. \d+ s/);
    expect(shown.endsWith('\r\u001b[2K')).toBe(true);
    expect(shop.read('done.txt')).not.toContain('\u001b');
  });

  it('is not shown for a call of less than a second', () => {
    const shop = workshop();
    // On a busy machine any call takes a second, and progress may be shown: then it is called again.
    for (let tries = 0; tries < 5; tries++) {
      const start = performance.now();
      const { status, shown } = onTerminal(
        shop.folder,
        `'${process.execPath}' '${bin}' cut job.yaml --force -o a.svg > done.txt`,
      );
      const isShort = performance.now() - start < 1000;
      expect(status).toBe(0);
      if (isShort || !shown.endsWith('\r\u001b[2K')) expect(shown).toBe('');
      if (isShort) break;
    }
  });

  it.each([
    ['check', 'checking', 'job.yaml', ''],
    ['cut', 'cutting', 'job-N.yaml', '-o out'],
    ['plan', 'planning', 'job.yaml', ''],
    ['list', 'reading', 'panel.svg', ''],
  ])(
    'of %s is shown, and Ctrl-C ends it at once with nothing written',
    async (command, doing, input, more) => {
      const shop = workshop();
      shop.write('out/.keep', '');
      // Minutes of work: what ends before they are over was ended by the key.
      const inputs = Array.from({ length: 1500 }, (_, i) => input.replace('N', String(i)));
      if (command === 'cut') for (const name of inputs) shop.write(name, shop.read('job.yaml'));
      const files = shop.files();
      shop.write(
        'call.sh',
        `exec '${process.execPath}' '${bin}' ${command} ${inputs.join(' ')} ${more} > done.txt`,
      );
      const child = spawn('script', ['-qec', 'sh call.sh', 'typed.txt'], { cwd: shop.folder });
      let shown = '';
      let isPressed = false;
      child.stdout.setEncoding('utf8').on('data', (text: string) => {
        shown += text;
        if (isPressed || !shown.includes(' of 1500) ... ')) return;
        isPressed = true;
        child.stdin.write('\u0003');
      });
      const status = await new Promise((done) => child.on('close', done));
      expect(shown).toMatch(new RegExp(`${doing} \\S+ \\(\\d+ of 1500\\) \\.\\.\\. \\d+ s`));
      expect(status).toBe(130);
      expect(shown).not.toMatch(/^\s+at /m);
      expect(shop.read('done.txt')).toBe('');
      expect(shop.files()).toEqual([...files, 'call.sh', 'done.txt', 'typed.txt'].sort());
    },
  );
});

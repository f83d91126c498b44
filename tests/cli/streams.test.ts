/** A job on standard input, a cut on standard output. */
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { jobText, workshop } from './workshop.js';

const bin = fileURLToPath(new URL('../../bin/reseat.js', import.meta.url));

describe('a job on standard input', () => {
  it('says what the same job in a file says', async () => {
    const { call, callWith } = workshop();
    for (const command of ['fit', 'check', 'plan', 'list']) {
      const file = await call(command, '--json', 'job.yaml');
      const stream = await callWith(jobText(), command, '--json', '-');
      expect(stream.err).toBe('');
      expect(stream.status).toBe(file.status);
      expect(stream.out).toBe(file.out.replaceAll('"job":"job.yaml"', '"job":"-"'));
    }
  });

  it('names its drawing and its profile as seen from the working directory', async () => {
    const { callWith, write, read } = workshop();
    write('drawings/panel.svg', read('panel.svg'));
    write('profiles/bench.yaml', 'kerf: 0.3\n');
    const text = jobText({ drawing: 'drawings/panel.svg', more: 'machine: ./profiles/bench.yaml' });
    const { status, out } = await callWith(text, 'check', '--json', '-');
    expect(status).toBe(0);
    expect(JSON.parse(out).job).toBe('-');
  });

  it('makes a page, a cut file and a picture', async () => {
    const { callWith, files } = workshop();
    expect((await callWith(jobText(), 'page', '-', '-o', 'p.html')).status).toBe(0);
    expect((await callWith(jobText(), 'cut', '-', '-o', 'c.svg', '--picture', 'c.png')).status).toBe(0);
    expect(files()).toEqual(['c.png', 'c.svg', 'job.yaml', 'p.html', 'panel.svg']);
  });

  it('is told with its place where it is wrong', async () => {
    const { callWith } = workshop();
    const { status, out, err } = await callWith('drawing: panel.svg\ncute: {}\n', 'fit', '-');
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toMatch(/^reseat: -:2:1, cute\n/);
    expect((await callWith('', 'fit', '-')).err).toMatch(/^reseat: -/);
    const drawing = await callWith('<svg/>', 'check', '-');
    expect(drawing.status).toBe(2);
    expect(drawing.err).toContain('a drawing in place of a job');
  });

  it('is refused among several whose cut files take their names', async () => {
    const { callWith, write, files } = workshop();
    write('out/.keep', '');
    const { status, err } = await callWith(jobText(), 'cut', 'job.yaml', '-', '-o', 'out');
    expect(status).toBe(2);
    expect(err).toContain('a job on standard input among several');
    expect(files()).toEqual(['job.yaml', 'out/.keep', 'panel.svg']);
  });
});

describe('a cut on standard output', () => {
  it('is the bytes of the file, and nothing else; the report goes to standard error', async () => {
    const { call, read, files } = workshop();
    for (const format of ['svg', 'dxf']) {
      const file = await call('cut', 'job.yaml', '-o', `a.${format}`);
      const stream = await call('cut', 'job.yaml', '-o', '-', '--format', format);
      expect(stream.status).toBe(file.status);
      expect(stream.out).toBe(read(`a.${format}`));
      const words = (text: string) => text.split(/\s+/).join(' ');
      expect(words(stream.err)).toEqual(
        words(file.out.replaceAll(`a.${format}`, `standard output, ${format.toUpperCase()}`)),
      );
    }
    expect((await call('cut', 'job.yaml', '-o', '-')).out).toBe(read('a.svg'));
    expect(files()).toEqual(['a.dxf', 'a.svg', 'job.yaml', 'panel.svg']);
  });

  it('is refused beside --json, and with several jobs', async () => {
    const { call, files } = workshop();
    for (const argv of [
      ['job.yaml', '--json'],
      ['job.yaml', 'job.yaml'],
    ]) {
      const { status, out, err } = await call('cut', ...argv, '-o', '-');
      expect(status).toBe(2);
      expect(out).toBe('');
      expect(err).toContain('one thing on standard output');
    }
    expect(files()).toEqual(['job.yaml', 'panel.svg']);
  });

  it('is not begun where the job is wrong or its picture cannot be written', async () => {
    const { call } = workshop();
    expect(await call('cut', 'nope.yaml', '-o', '-')).toMatchObject({ status: 2, out: '' });
    const { status, out } = await call('cut', 'job.yaml', '-o', '-', '--picture', 'nowhere/p.svg');
    expect(status).toBe(2);
    expect(out).toBe('');
  });
});

describe('a pipe', () => {
  it('goes through the whole process: job in, cut out', () => {
    const { folder } = workshop();
    const run = spawnSync(process.execPath, [bin, 'cut', '-', '-o', '-'], {
      cwd: folder,
      encoding: 'utf8',
      input: jobText(),
    });
    expect(run.status).toBe(0);
    expect(run.stdout).toMatch(/^<\?xml[\s\S]*<\/svg>\n$/);
    expect(run.stderr).toContain('2 paths for 2 openings');
  });

  it('that brings more than any job is refused', () => {
    const { folder } = workshop();
    const script = 'yes "# a job without end" | "$0" "$1" fit -';
    const run = spawnSync('bash', ['-c', script, process.execPath, bin], { cwd: folder, encoding: 'utf8' });
    expect(run.status).toBe(2);
    expect(run.stderr).toContain('MB on standard input');
  });
});

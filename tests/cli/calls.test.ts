import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { workshop } from './workshop.js';

const ownVersion = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')).version;

describe('help', () => {
  it('names every command and every exit status, in 80 columns', async () => {
    const { status, out, err } = await workshop().call('--help');
    expect(status).toBe(0);
    expect(err).toBe('');
    for (const word of ['fit', 'check', 'cut', 'list', 'Exit status: 0', '1 the', '2 the', '3 the']) {
      expect(out).toContain(word);
    }
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it.each(['fit', 'check', 'cut', 'list'])('of %s fits 80 columns and names --json', async (command) => {
    const { status, out } = await workshop().call(command, '--help');
    expect(status).toBe(0);
    expect(out).toContain('--json');
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('tells the version of the package', async () => {
    expect(await workshop().call('--version')).toEqual({ status: 0, out: `${ownVersion}\n`, err: '' });
  });
});

describe('help as a command', () => {
  it.each([[['fit']], [['calibrate', 'bed']], [[]]])('help %j is what --help shows', async (words) => {
    const shown = await workshop().call('help', ...words);
    expect(shown).toEqual(await workshop().call(...words, '--help'));
    expect(shown.status).toBe(0);
  });

  it('names the command that was probably meant', async () => {
    const { status, err } = await workshop().call('help', 'calibrate', 'bde');
    expect(status).toBe(2);
    expect(err).toContain('the unknown command "bde"');
    expect(err).toContain('Did you mean bed?');
  });
});

describe('a call that is not understood', () => {
  it.each([
    [[], 'no command', '"reseat --help" shows the commands.'],
    [['fti', 'job.yaml'], 'the unknown command "fti"', 'Did you mean fit?'],
    [['frobnicate'], 'the unknown command "frobnicate"', '"reseat --help" shows the commands.'],
    [['--jsno'], 'the unknown option --jsno', '"reseat --help" shows the commands.'],
    [['fit'], 'no job after "fit"', '"reseat fit --help" shows how it is called.'],
    [['list'], 'no drawing after "list"', '"reseat list --help" shows how it is called.'],
    [['fit', '--jsn', 'job.yaml'], 'the unknown option --jsn', 'Did you mean --json?'],
    [['cut', 'fit', '--forse', '-o', 'a.svg'], 'the unknown option --forse', 'Did you mean --force?'],
    [
      ['cut', 'job.yaml', '-o'],
      '-o, --output without a value',
      '"reseat cut --help" shows how it is called.',
    ],
    [['cut', 'job.yaml', '-o', 'a.svg', '-o', 'b.svg'], '-o twice', 'Remove one of them.'],
    [['cut', 'job.yaml'], 'no place for the result', 'Add -o FILE.svg, FILE.dxf or FILE.nc.'],
    [['cut', 'job.yaml', 'job.yaml'], 'no place for the result', 'Add -o FOLDER.'],
    [['list', '--units', 'mmm', 'panel.svg'], '--units mmm', 'Did you mean mm?'],
  ])('%j ends with status 2, one message and nothing on stdout', async (argv, found, next) => {
    const shop = workshop();
    const { status, out, err } = await shop.call(...argv);
    expect(status).toBe(2);
    expect(out).toBe('');
    const lines = err.trimEnd().split('\n');
    expect(lines).toHaveLength(4);
    expect(lines[0]).toBe('reseat: this call is not understood');
    expect(lines[1]).toBe(`  found:    ${found}`);
    expect(lines[3]).toBe(`  next:     ${next}`);
    expect(shop.files()).toEqual(['job.yaml', 'panel.svg']);
  });
});

describe('a path that leads nowhere', () => {
  it.each([
    ['fit', 'nope.yaml', 'no such file'],
    ['list', 'nope.svg', 'no such file'],
    ['fit', '.', 'a folder'],
    ['fit', 'panel.svg/job.yaml', 'a file that cannot be read: a part of the path is no folder'],
    ['list', '/dev/null', 'something that is no file'],
    ['fit', '', 'no such file'],
    ['fit', 'a\0b', 'a file that cannot be read: the path holds a zero character'],
  ])('%s %j is told in one message', async (command, path, found) => {
    const { status, out, err } = await workshop().call(command, path);
    expect(status).toBe(2);
    expect(out).toBe('');
    expect(err).toContain(`  found:    ${found}\n`);
    expect(err.trimEnd().split('\n')).toHaveLength(4);
  });
});

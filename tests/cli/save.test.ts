import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, onTestFinished, vi } from 'vitest';
import { saveAll, targetFor } from '../../src/cli/save.js';
import { InputError } from '../../src/index.js';

const stream = { write: () => {}, isTTY: false };

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'reseat-save-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
});

const target = (name: string, force = false) =>
  targetFor({ cwd: folder, stdout: stream, stderr: stream }, name, { force, inputs: [] });

/** The same on a disk without links, such as a memory stick; other tests share the modules, and get theirs back. */
const withoutLinks = async () => {
  const linkSync = vi.fn(() => {
    throw Object.assign(new Error('not supported'), { code: 'EPERM' });
  });
  vi.resetModules();
  vi.doMock('node:fs', async (original) => ({ ...(await original<typeof import('node:fs')>()), linkSync }));
  onTestFinished(() => {
    vi.doUnmock('node:fs');
    vi.resetModules();
  });
  return { linkSync, ...(await import('../../src/cli/save.js')) };
};

describe('saving results', () => {
  it('puts them all into place and leaves nothing else behind', () => {
    saveAll([
      { target: target('a.svg'), text: 'one' },
      { target: target('b.svg'), text: 'two' },
    ]);
    expect(readdirSync(folder).sort()).toEqual(['a.svg', 'b.svg']);
    expect(readFileSync(join(folder, 'b.svg'), 'utf8')).toBe('two');
  });

  it('does not overwrite a file that appeared since the check, and takes back what it wrote', () => {
    const targets = [target('a.svg'), target('b.svg', true)];
    writeFileSync(join(folder, 'b.svg'), 'precious');
    const save = () => saveAll(targets.map((t) => ({ target: t, text: 'new' })));
    expect(save).toThrow(InputError);
    expect(save).toThrow('a file that exists already');
    expect(readdirSync(folder)).toEqual(['b.svg']);
    expect(readFileSync(join(folder, 'b.svg'), 'utf8')).toBe('precious');
  });

  it('writes nothing when a folder is gone', () => {
    mkdirSync(join(folder, 'out'));
    const targets = [target('a.svg'), target('out/b.svg')];
    rmSync(join(folder, 'out'), { recursive: true });
    const save = () => saveAll(targets.map((t) => ({ target: t, text: 'new' })));
    expect(save).toThrow('a file that cannot be written: it is not there');
    expect(readdirSync(folder)).toEqual([]);
  });

  it('works on a disk without links, and overwrites nothing there either', async () => {
    const { linkSync, saveAll } = await withoutLinks();
    const [a, b] = [target('a.svg'), target('b.svg')];
    saveAll([{ target: a, text: 'one' }]);
    expect(readFileSync(join(folder, 'a.svg'), 'utf8')).toBe('one');
    writeFileSync(join(folder, 'b.svg'), 'precious');
    expect(() => saveAll([{ target: b, text: 'new' }])).toThrow('a file that exists already');
    expect(readFileSync(join(folder, 'b.svg'), 'utf8')).toBe('precious');
    expect(readdirSync(folder).sort()).toEqual(['a.svg', 'b.svg']);
    expect(linkSync).toHaveBeenCalledTimes(2);
  });

  it('replaces a file that was meant to be replaced', () => {
    writeFileSync(join(folder, 'a.svg'), 'old');
    saveAll([{ target: target('a.svg', true), text: 'new' }]);
    expect(readFileSync(join(folder, 'a.svg'), 'utf8')).toBe('new');
    expect(existsSync(join(folder, 'a.svg'))).toBe(true);
  });
});

import {
  existsSync,
  linkSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeEach, describe, expect, it, onTestFinished, vi } from 'vitest';
import { saveAll, targetFor } from '../../src/cli/save.js';
import { InputError } from '../../src/internal.js';

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

  it('leaves all files as they were when one of several cannot be replaced', () => {
    writeFileSync(join(folder, 'a.svg'), 'old a');
    writeFileSync(join(folder, 'b.svg'), 'old b');
    const targets = [target('new.svg'), target('a.svg', true), target('b.svg', true)];
    rmSync(join(folder, 'b.svg'));
    mkdirSync(join(folder, 'b.svg'));
    const save = () => saveAll(targets.map((t) => ({ target: t, text: 'new' })));
    expect(save).toThrow('a file that cannot be written');
    expect(readdirSync(folder).sort()).toEqual(['a.svg', 'b.svg']);
    expect(readFileSync(join(folder, 'a.svg'), 'utf8')).toBe('old a');
  });

  it('replaces several files, and leaves nothing beside them', async () => {
    for (const { saveAll } of [await import('../../src/cli/save.js'), await withoutLinks()]) {
      for (const name of ['a.svg', 'b.svg']) writeFileSync(join(folder, name), 'old');
      saveAll([
        { target: target('a.svg', true), text: 'one' },
        { target: target('b.svg', true), text: 'two' },
      ]);
      expect(readdirSync(folder).sort()).toEqual(['a.svg', 'b.svg']);
      expect(readFileSync(join(folder, 'a.svg'), 'utf8')).toBe('one');
    }
  });

  it('tells two results in one place as that, however the paths are spelled', () => {
    mkdirSync(join(folder, 'out'));
    symlinkSync(join(folder, 'out'), join(folder, 'link'));
    const save = (...names: string[]) =>
      saveAll(names.map((name) => ({ target: target(name, true), text: 'new' })));
    expect(() => save('out/a.svg', 'out/a.svg')).toThrow('the same file for two results');
    expect(() => save('out/a.svg', 'link/../out/./a.svg')).toThrow('the same file for two results');
    expect(() => save('out/a.svg', 'link/a.svg')).toThrow('the same file for two results: out/a.svg is');
    expect(readdirSync(join(folder, 'out'))).toEqual([]);
    writeFileSync(join(folder, 'out', 'a.svg'), 'old');
    linkSync(join(folder, 'out', 'a.svg'), join(folder, 'out', 'b.svg'));
    expect(() => save('out/a.svg', 'out/b.svg')).toThrow('the same file for two results');
    expect(readFileSync(join(folder, 'out', 'a.svg'), 'utf8')).toBe('old');
  });
});

/** What is shipped; `npm test` builds it first. */
import { spawnSync } from 'node:child_process';
import {
  existsSync,
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
import { fileURLToPath } from 'node:url';
import { publint } from 'publint';
import { describe, expect, it } from 'vitest';

const root = fileURLToPath(new URL('..', import.meta.url));
const read = (name: string): string => readFileSync(join(root, name), 'utf8');
const manifest = JSON.parse(read('package.json'));
const programs = [
  'index.js',
  'cli.js',
  ...readdirSync(join(root, 'dist/program')).map((name) => `program/${name}`),
];

/** The packages that a built file asks for when it runs. */
const imported = (text: string): string[] =>
  [
    ...text.matchAll(/(?:^|[;}])\s*(?:import|export)\b[^;"'`]*?["']([^"']+)["']/gm),
    ...text.matchAll(/\bimport\(\s*["'`]([^"'`$]+)["'`]\s*\)/g),
  ].flatMap(([, name]) => (/^(?:@[\w-]+\/)?[a-z][\w.-]*$/.test(name!) ? [name!] : []));

describe('the package', () => {
  it('asks at run time for nothing but its dependencies, and depends on nothing else', () => {
    const asked = new Set(programs.flatMap((name) => imported(read(`dist/${name}`))));
    expect([...asked].sort()).toEqual(Object.keys(manifest.dependencies).sort());
  });

  it('holds no compiled code', () => {
    const odd = programs.filter((name) => !name.endsWith('.js'));
    expect(odd).toEqual([]);
    expect(existsSync(join(root, 'dist/program'))).toBe(true);
  });

  it('names every package that is bundled in its notices and in its bill of materials', () => {
    const notices = read('dist/notices.md');
    const bom = JSON.parse(read('dist/bom.json'));
    const names: string[] = bom.components.map((c: { group?: string; name: string }) =>
      c.group === undefined ? c.name : `${c.group}/${c.name}`,
    );
    expect(bom.bomFormat).toBe('CycloneDX');
    expect(bom.metadata.component.version).toBe(manifest.version);
    for (const name of [
      'commander',
      'yaml',
      'saxes',
      'ml-matrix',
      'flatbush',
      '@stdlib/math-base-special-ln',
      'sharp',
    ])
      expect(names).toContain(name);
    for (const name of names.filter((n) => n !== 'sharp')) expect(notices).toContain(`- ${name} `);
    expect(notices).toContain('Permission to use, copy, modify, and/or distribute this software');
    expect(notices).toContain('Apache License');
    expect(read('dist/LICENSE')).toMatch(/^MIT License\n\nCopyright \(c\) 2026/);
  });

  it('is clean for a linter of packages', async () => {
    const { messages } = await publint({ pkgDir: root, strict: true, pack: false });
    expect(messages).toEqual([]);
  });

  it('gives a strict TypeScript project its types from one file that imports nothing', () => {
    expect(read('dist/index.d.ts')).not.toMatch(/^(?:import|export .* from)\b/m);
    const folder = mkdtempSync(join(tmpdir(), 'reseat-types-'));
    try {
      mkdirSync(join(folder, 'node_modules'));
      symlinkSync(root, join(folder, 'node_modules/reseat'));
      writeFileSync(join(folder, 'package.json'), '{"type": "module"}');
      writeFileSync(
        join(folder, 'use.ts'),
        `import { checkJob, loadJob, type Verdict } from 'reseat';
const loaded = loadJob({ path: 'job.yaml', text: '' }, { read: () => undefined });
const done = checkJob(loaded);
export const verdict: Verdict | undefined = done.ok ? done.check.verdict : undefined;
// @ts-expect-error a verdict is no number
export const wrong: number = verdict;
`,
      );
      const tsc = join(root, 'node_modules/.bin/tsc');
      const options = ['--strict', '--noEmit', '--module', 'nodenext', '--target', 'es2023', '--types', ''];
      const run = spawnSync(tsc, [...options, 'use.ts'], { cwd: folder, encoding: 'utf8' });
      expect(run.stdout).toBe('');
      expect(run.status).toBe(0);
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

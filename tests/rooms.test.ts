/** The rooms of the house: small enough to be known, each with a word about what comes in and goes out. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const source = new URL('../src/', import.meta.url);
const rooms = readdirSync(source, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isDirectory())
  .map((entry) => `${entry.parentPath}/${entry.name}`);

describe('the rooms of the source', () => {
  it('hold at most fifteen files each', () => {
    expect(rooms.length).toBeGreaterThan(40);
    const full = rooms.filter((room) => readdirSync(room).filter((name) => /\.tsx?$/.test(name)).length > 15);
    expect(full).toEqual([]);
  });

  it('say each what it is for', () => {
    for (const room of rooms) {
      const text = readFileSync(`${room}/README.md`, 'utf8');
      expect(text.split('\n').filter((line) => line !== '').length, room).toBeGreaterThan(1);
    }
  });
});

/** The files that each file imports, types and late imports included. */
const importsOf = (root: string): Map<string, string[]> => {
  const names = readdirSync(root, { recursive: true, encoding: 'utf8' }).filter((name) =>
    /\.tsx?$/.test(name),
  );
  const known = new Set(names.map(normalize));
  return new Map(
    [...known].map((name) => {
      const text = readFileSync(join(root, name), 'utf8');
      const found = [...text.matchAll(/(?:\bfrom|\bimport\(?)\s*'(\.[^']+)'/g)].flatMap(([, path]) => {
        const plain = normalize(join(dirname(name), path!)).replace(/\.js$/, '');
        return [`${plain}.ts`, `${plain}.tsx`].filter((one) => known.has(one));
      });
      return [name, found];
    }),
  );
};

/** The first way found that leads from a file back to it; undefined where there is none. */
const circleIn = (imports: ReadonlyMap<string, readonly string[]>): string[] | undefined => {
  const done = new Set<string>();
  const walk = (name: string, way: readonly string[]): string[] | undefined => {
    const at = way.indexOf(name);
    if (at >= 0) return [...way.slice(at), name];
    if (done.has(name)) return undefined;
    for (const next of imports.get(name) ?? []) {
      const circle = walk(next, [...way, name]);
      if (circle !== undefined) return circle;
    }
    done.add(name);
    return undefined;
  };
  for (const name of imports.keys()) {
    const circle = walk(name, []);
    if (circle !== undefined) return circle;
  }
  return undefined;
};

describe('the files of the source', () => {
  it('import each other in no circle, not even for types', () => {
    const imports = importsOf(fileURLToPath(source));
    expect(imports.size).toBeGreaterThan(500);
    expect([...imports.values()].flat().length).toBeGreaterThan(2000);
    expect(circleIn(imports)).toBeUndefined();
  });

  it('would be caught in one', () => {
    const circle = new Map([
      ['a.ts', ['b.ts']],
      ['b.ts', ['c.ts']],
      ['c.ts', ['b.ts']],
    ]);
    expect(circleIn(circle)).toEqual(['b.ts', 'c.ts', 'b.ts']);
  });
});

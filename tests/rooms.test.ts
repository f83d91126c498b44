/** The rooms of the house: small enough to be known, each with a word about what comes in and goes out. */
import { readdirSync, readFileSync } from 'node:fs';
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

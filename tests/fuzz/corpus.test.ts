/** Calls with mistakes in them: those that went wrong once, and a sample of others. */
import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { run } from '../../src/cli/main.js';
import { type FuzzCase, fuzzCase } from './cases.js';
import { tryCase } from './try-case.js';

const corpus = new URL('./corpus/', import.meta.url);

describe('a call that went wrong once', () => {
  const names = readdirSync(corpus).filter((name) => name.endsWith('.json'));

  it.each(names)('ends with a status and a message: %s', async (name) => {
    const one: FuzzCase = JSON.parse(readFileSync(new URL(name, corpus), 'utf8'));
    expect((await tryCase(run, one)).faults).toEqual([]);
  });
});

describe('a call with random mistakes', () => {
  it('is the same for the same number', () => {
    expect(fuzzCase('seed', 3)).toEqual(fuzzCase('seed', 3));
    expect(fuzzCase('seed', 3)).not.toEqual(fuzzCase('seed', 4));
  });

  it('ends with a status, whole files or none, and no trace of the program', async () => {
    const statuses = new Set<number>();
    for (let number = 0; number < 150; number++) {
      const { status, faults } = await tryCase(run, fuzzCase('suite', number));
      expect(
        faults.filter((fault) => !/^[\d.]+ s$/.test(fault)),
        `suite/${number}`,
      ).toEqual([]);
      statuses.add(status);
    }
    expect([...statuses].filter((status) => status < 3).sort()).toEqual([0, 1, 2]);
  });
});

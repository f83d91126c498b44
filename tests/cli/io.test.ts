import { describe, expect, it } from 'vitest';
import { jsonLine } from '../../src/cli/io.js';
import { schemaVersion } from '../../src/internal.js';

describe('a line of --json', () => {
  it('holds no character that a terminal obeys or that turns the direction of text, and means the same', () => {
    const value = { id: 'a\u001b[31mb\u009b2J\u202egnp\u2028\u2066\ufeff\u007f leaf é' };
    const line = jsonLine(value);
    expect(line.trimEnd()).not.toMatch(/\p{Cc}|\p{Cf}|\p{Zl}/u);
    expect(line).toContain(' leaf é');
    expect(JSON.parse(line)).toEqual({ schemaVersion, ...value });
  });
});

/** What a number on the keyboard may have been meant to be: one slip of the finger at a time. */

import type { SlipKind } from '../../job/messages.js';
import { powerOfTen } from '../../numeric/powers.js';

export interface NumberVariant {
  /** The number as it was probably meant. */
  readonly value: number;
  readonly kind: Extract<SlipKind, 'digits' | 'decimal-point' | 'sign'>;
  /** Which way of mistyping; variants of one way share that way's plausibility. */
  readonly way:
    | 'exchanged'
    | 'exchanged-over-point'
    | 'one-digit'
    | 'digit-missing'
    | 'digit-too-many'
    | 'point-lost'
    | 'point-moved'
    | 'sign';
  /** What happened to the number as typed, to stand after "was typed": "with 7 and 1 exchanged". */
  readonly how: () => string;
}

/** Places after the point that the operator used: the most of any coordinate, at most 6. */
export const decimalsOf = (values: Iterable<number>): number => {
  let most = 0;
  for (const value of values) {
    let places = 0;
    while (places < 6 && Math.abs(Number(value.toFixed(places)) - value) > 1e-9) places++;
    most = Math.max(most, places);
  }
  return most;
};

const ways = {
  exchanged: 'digits',
  'exchanged-over-point': 'digits',
  'one-digit': 'digits',
  'digit-missing': 'digits',
  'digit-too-many': 'digits',
  'point-lost': 'decimal-point',
  'point-moved': 'decimal-point',
  sign: 'sign',
} as const;

/** Every number one slip away from `typed`, which is read as written with `decimals` places. */
export const variantsOf = (typed: number, decimals: number): NumberVariant[] => {
  const text = Math.abs(typed).toFixed(decimals);
  const sign = typed < 0 ? -1 : 1;
  const variants: NumberVariant[] = [];
  const add = (meant: number, way: NumberVariant['way'], how: () => string) => {
    // Adding 0 makes a plain 0 of the -0 that "-0.00" reads as.
    const value = meant + 0;
    if (value !== typed) variants.push({ value, kind: ways[way], way, how });
  };
  const addText = (meant: string, way: NumberVariant['way'], how: () => string) =>
    add(sign * Number(meant), way, how);

  const places = [...text].flatMap((c, i) => (c === '.' ? [] : [i]));
  for (let k = 0; k < places.length; k++) {
    const i = places[k]!;
    const digit = text[i]!;
    const next = places[k + 1];
    if (next !== undefined && text[next] !== digit) {
      const meant = withCharacter(withCharacter(text, i, text[next]!), next, digit);
      addText(
        meant,
        next === i + 1 ? 'exchanged' : 'exchanged-over-point',
        () => `with ${text[next]} and ${digit} exchanged`,
      );
    }
    for (let other = 0; other <= 9; other++) {
      if (String(other) !== digit)
        addText(
          withCharacter(text, i, String(other)),
          'one-digit',
          () => `with ${digit} in place of ${other}`,
        );
    }
    // The same number arises wherever one of several like digits in a row is struck out or put in: once is enough.
    const before = k > 0 ? text[places[k - 1]!] : undefined;
    if (digit !== before && places.length > 1)
      addText(text.slice(0, i) + text.slice(i + 1), 'digit-too-many', () => `with a ${digit} too many`);
    for (let other = 0; other <= 9; other++) {
      if (String(other) !== before && !(k === 0 && other === 0))
        addText(text.slice(0, i) + other + text.slice(i), 'digit-missing', () => `with a ${other} missing`);
    }
  }
  const whole = Number(text) % 1 === 0;
  for (let power = -4; power <= 3; power++) {
    if (power === 0) continue;
    const lost = whole && decimals > 0 && power === -decimals;
    const value = Number((typed * powerOfTen(power)).toFixed(Math.min(9, decimals + 4)));
    add(value, lost ? 'point-lost' : 'point-moved', () =>
      lost ? 'with the decimal point lost' : 'with the decimal point in the wrong place',
    );
  }
  add(-typed, 'sign', () => 'with the wrong sign');
  return variants;
};

const withCharacter = (text: string, at: number, character: string): string =>
  text.slice(0, at) + character + text.slice(at + 1);

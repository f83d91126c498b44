/** What a calibration would write into a profile, rounded to what is worth writing; JSON-like, as the file has it. */
import type { MachinePart } from '../job/job.js';

export type ProfileValue =
  | number
  | string
  | readonly (number | string)[]
  | { readonly [key: string]: number | readonly number[] };

export interface Proposal {
  readonly part: MachinePart;
  /** Profile keys and their values, in the order they are to be written. */
  readonly set: { readonly [key: string]: ProfileValue };
  /** Keys of the part that no longer hold. */
  readonly remove: readonly string[];
}

/** A length to 0.001 mm. */
export const micrometre = (value: number): number => decimals(value, 3);

/** To so many places, without a minus before zero. */
export const decimals = (value: number, places: number): number => Number(value.toFixed(places)) + 0;

/** An sd to three significant digits. */
export const threeDigits = (value: number): number => Number(value.toPrecision(3));

/** The lines of a profile, as they would be written by hand. */
export const proposalLines = ({ set }: Proposal): string[] =>
  Object.entries(set).map(([key, value]) => `${key}: ${valueText(value)}`);

const valueText = (value: ProfileValue): string => {
  if (typeof value === 'number' || typeof value === 'string') return plain(value);
  if (Array.isArray(value)) return `[${value.map(plain).join(', ')}]`;
  const inside = Object.entries(value).map(([key, one]) => `${key}: ${valueText(one)}`);
  return `{${inside.join(', ')}}`;
};

/** Without an exponent. */
const plain = (value: number | string): string =>
  typeof value === 'number' && /e/.test(String(value))
    ? value.toFixed(12).replace(/\.?0+$/, '')
    : String(value);

/** Colours as drawings and jobs write them, brought to one form so that they can be compared. */
import { namedColours } from './colour-names.js';

/** `#rrggbb`; channels 0 to 255, rounded. */
export const hexColour = (red: number, green: number, blue: number): string =>
  `#${[red, green, blue].map((channel) => Math.round(channel).toString(16).padStart(2, '0')).join('')}`;

/** A drawing has few colours, and says them again and again. */
const known = new Map<string, string | undefined>();
const mostKnown = 200;
const longestKnown = 40;

/**
 * A colour as `#rrggbb`, or `none`; undefined for what is no colour. Read are the names, hex digits
 * and the functions rgb and hsl of W3C CSS Color 4, sections 4 to 7; how much a colour shines
 * through does not count, except that `transparent` is `none`.
 */
export const parseColour = (text: string): string | undefined => {
  if (known.has(text)) return known.get(text);
  const colour = colourIn(text);
  if (known.size < mostKnown && text.length <= longestKnown) known.set(text, colour);
  return colour;
};

const colourIn = (text: string): string | undefined => {
  const word = text.trim().toLowerCase();
  if (word === 'none' || word === 'transparent') return 'none';
  if (word.startsWith('#')) return fromDigits(word.slice(1));
  const named = namedColours.get(word);
  if (named !== undefined) return named;
  const call = /^(rgba?|hsla?)\(([^()]*)\)$/.exec(word);
  if (call === null) return undefined;
  const parts = channelsOf(call[2]!);
  if (parts === undefined) return undefined;
  return call[1]!.startsWith('rgb') ? fromRgb(parts) : fromHsl(parts);
};

const fromDigits = (digits: string): string | undefined => {
  if (!/^([0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})$/.test(digits)) return undefined;
  return digits.length < 6 ? `#${digits.slice(0, 3).replace(/./g, '$&$&')}` : `#${digits.slice(0, 6)}`;
};

/**
 * Three parts, and a fourth for opacity that is not looked at; commas between all of them or
 * blanks.
 */
const channelsOf = (inside: string): readonly string[] | undefined => {
  const parts = inside.includes(',')
    ? inside.split(',').map((part) => part.trim())
    : inside.trim().split(/\s*\/\s*|\s+/);
  return parts.length === 3 || parts.length === 4 ? parts : undefined;
};

const number = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/;

const isNumber = (part: string): boolean => number.test(part);
const isShare = (part: string): boolean => part.endsWith('%') && isNumber(part.slice(0, -1));
const within = (value: number, most: number): number => Math.min(most, Math.max(0, value));

const fromRgb = (parts: readonly string[]): string | undefined => {
  const [red, green, blue] = parts.slice(0, 3).map((part) => {
    if (isShare(part)) return within((Number(part.slice(0, -1)) * 255) / 100, 255);
    return isNumber(part) ? within(Number(part), 255) : Number.NaN;
  });
  const colour = hexColour(red!, green!, blue!);
  return colour.includes('N') ? undefined : colour;
};

/** CSS Color 4, section 7.1. */
const fromHsl = ([turn, saturation, lightness]: readonly string[]): string | undefined => {
  const hue = /^(.*?)(deg)?$/.exec(turn!)![1]!;
  if (!isNumber(hue) || !isShare(saturation!) || !isShare(lightness!)) return undefined;
  const degrees = ((Number(hue) % 360) + 360) % 360;
  const s = within(Number(saturation!.slice(0, -1)) / 100, 1);
  const l = within(Number(lightness!.slice(0, -1)) / 100, 1);
  const channel = (offset: number): number => {
    const k = (offset + degrees / 30) % 12;
    return 255 * (l - s * Math.min(l, 1 - l) * Math.max(-1, Math.min(k - 3, 9 - k, 1)));
  };
  return hexColour(channel(0), channel(8), channel(4));
};

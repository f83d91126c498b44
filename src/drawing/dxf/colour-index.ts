/** The colours behind the colour numbers of DXF. */
import { hexColour } from '../model/colour.js';

/** Numbers 1 to 9; 7 is black on white paper and white on a black screen: black here. */
const firstNine = [
  '#ff0000',
  '#ffff00',
  '#00ff00',
  '#00ffff',
  '#0000ff',
  '#ff00ff',
  '#000000',
  '#808080',
  '#c0c0c0',
];

/** Five levels of brightness, each in two numbers: full colour, then half way to grey. */
const levels = [255, 165, 127, 76, 38];
/** Numbers 250 to 255. */
const greys = [51, 80, 105, 130, 190, 255];

const workedOut = (index: number): string => {
  const first = firstNine[index - 1];
  if (first !== undefined) return first;
  if (index >= 250) {
    const grey = greys[index - 250]!;
    return hexColour(grey, grey, grey);
  }
  const sector = Math.floor((index - 10) / 10) / 4;
  const level = levels[Math.floor((index % 10) / 2)]!;
  const low = index % 2 === 1 ? level / 2 : 0;
  const channel = (share: number): number => Math.floor(low + (level - low) * share);
  return hexColour(channel(nearness(sector, 0)), channel(nearness(sector, 2)), channel(nearness(sector, 4)));
};

/** How much of a primary colour is in a hue, 0 to 1; hues and primaries in sixths of the circle. */
const nearness = (sector: number, primary: number): number => {
  const apart = Math.abs(sector - primary);
  return Math.min(1, Math.max(0, 2 - Math.min(apart, 6 - apart)));
};

let known: readonly string[] | undefined;
/** Made when a file first asks: every command loads this module. */
const colours = (): readonly string[] => (known ??= Array.from({ length: 255 }, (_, i) => workedOut(i + 1)));

/**
 * The number from 1 to 255 that means this colour, the first of several; undefined where none does.
 */
export const numberOfColour = (colour: string): number | undefined => {
  const at = colours().indexOf(colour);
  return at < 0 ? undefined : at + 1;
};

/**
 * `#rrggbb` of a colour number: the colour index of the published DXF reference, from memory; the
 * colour of number 7 for what is none of 1 to 255. Hues run in steps of 15 degrees from 10 (red)
 * on. Programs differ by a shade in what they show for a number, so a role is best written with the
 * colour that `reseat list` prints.
 */
export const indexedColour = (index: number): string => colours()[index - 1] ?? colours()[6]!;

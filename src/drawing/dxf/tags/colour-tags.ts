/** A colour as the tags of an entity. */
import { numberOfColour } from '../colour-index.js';

/** Black or white, whichever shows on the screen. */
const plain = 7;

/**
 * Group 62 with the number of the colour, or with 7 and group 420 beside it for a colour without a
 * number; nothing but 7 for what is no colour (`none`).
 * @param colour `#rrggbb`
 */
export const colourTags = (colour: string | undefined): (readonly [code: number, value: number])[] => {
  const number = colour === undefined ? plain : numberOfColour(colour);
  if (number !== undefined) return [[62, number]];
  const channels = /^#([0-9a-f]{6})$/.exec(colour!)?.[1];
  return channels === undefined
    ? [[62, plain]]
    : [
        [62, plain],
        [420, Number.parseInt(channels, 16)],
      ];
};

/** A picture as grey levels, and how large its pixels are. */

export interface GreyPicture {
  readonly width: number;
  readonly height: number;
  /** Row by row from the top, `width` to a row. */
  readonly levels: Uint8Array | Uint16Array;
  /** The brightest level there can be. */
  readonly white: number;
}

/** Width and height of one pixel, mm. A pixel is an area: the first one reaches from 0 to 1 pixel. */
export interface PixelSize {
  readonly x: number;
  readonly y: number;
}

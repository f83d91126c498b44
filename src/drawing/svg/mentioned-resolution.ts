/**
 * A resolution that an SVG file mentions of itself, in a comment or an attribute: no standard asks
 * for it, some programs write it.
 */
import { bounds } from '../../job/bounds.js';
import type { MentionedResolution } from '../model/drawing.js';
import type { XmlElement } from './xml/xml.js';

const number = '([0-9]+(?:\\.[0-9]+)?)';
const unit = '(?:dpi|ppi|px/in|(?:px|pixels?|dots?) ?(?:/|per|to the) ?inch)';
const patterns = [
  new RegExp(`(?<![\\w.])${number}[ -]?${unit}\\b`, 'i'),
  new RegExp(`\\b(?:dpi|ppi)["']?\\s*(?:[:=]|is|of)?\\s*["']?${number}(?![\\w.]*[0-9])`, 'i'),
  new RegExp(`\\bresolution["']?\\s*(?:[:=]|is|of)?\\s*["']?${number}(?!\\s*[x×*]|[\\w.]*[0-9])`, 'i'),
];
/**
 * What an attribute is called that says it; one about pictures that are exported says nothing of
 * the drawing.
 */
const resolutionName = /(^|[:._-]|[xy])(dpi|ppi|resolution)$/i;
const otherResolution = /export|image|bitmap|raster|print/i;
/** Looked at in one file. */
const most = 200;

export class ResolutionSearch {
  found: MentionedResolution | undefined;
  private looked = 0;

  comment(text: string, line: number): void {
    if (!this.goesOn()) return;
    for (const pattern of patterns) this.take(pattern.exec(text)?.[1], `a comment in line ${line}`);
  }

  /**
   * The outermost element, and those of other namespaces, which say what the program needs to know
   * itself.
   */
  element({ attributes, line }: XmlElement): void {
    if (!this.goesOn()) return;
    for (const name in attributes) {
      if (!resolutionName.test(name) || otherResolution.test(name)) continue;
      const value = new RegExp(`^\\s*${number}\\s*${unit}?\\s*$`, 'i').exec(attributes[name] ?? '')?.[1];
      this.take(value, `the attribute ${name.slice(0, 40)} in line ${line}`);
    }
  }

  private goesOn(): boolean {
    this.looked += 1;
    return this.found === undefined && this.looked <= most;
  }

  private take(text: string | undefined, where: string): void {
    const dpi = Number(text);
    if (dpi >= bounds.dpi.atLeast && dpi <= bounds.dpi.atMost) this.found ??= { dpi, where };
  }
}

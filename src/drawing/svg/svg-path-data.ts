/** Path data, the attribute `d`: every command of W3C SVG 2, section 9.3. */
import type { PathBuilder } from '../model/path-builder.js';
import { Scanner } from './svg-scanner.js';

/** The command before, as far as the smooth curves S and T care. */
type Before = 'cubic' | 'quadratic' | 'other';

/**
 * Draws the path data into `out`. Empty data draw nothing. SVG would draw a faulty path up to its
 * fault; a part cut off there is a ruined part, so a fault is an error here.
 * @throws AttributeFault with the position in the data.
 */
export const drawPathData = (data: string, out: PathBuilder): void => {
  const scan = new Scanner('d', data);
  out.attribute = 'd';
  scan.skipBlanks();
  if (scan.done) return;
  let before: Before = 'other';
  // The last control point, in absolute coordinates; the smooth curves mirror it.
  let controlX = 0;
  let controlY = 0;
  const first = scan.peek() | 32;
  if (first !== 109) throw scan.fault('a moveto command, M or m, at the start of the path');

  while (!scan.done) {
    out.offset = scan.at;
    const code = scan.peek();
    scan.at += 1;
    // Lower case: coordinates relative to the current point.
    const relative = code > 96;
    let command = code & ~32;
    if (command === 90 && (code === 90 || code === 122)) {
      out.close();
      before = 'other';
      scan.skipBlanks();
      continue;
    }
    if (!takesNumbers(code)) throw scan.fault('a path command (M L H V C S Q T A Z)', scan.at - 1);
    scan.skipBlanks();
    do {
      const baseX = relative ? out.x : 0;
      const baseY = relative ? out.y : 0;
      out.offset = scan.at;
      switch (command) {
        case 77: {
          const x = baseX + next(scan);
          out.moveTo(x, baseY + last(scan));
          // Further pairs after a moveto are linetos.
          command = 76;
          before = 'other';
          break;
        }
        case 76: {
          const x = baseX + next(scan);
          out.lineTo(x, baseY + last(scan));
          before = 'other';
          break;
        }
        case 72:
          out.lineTo(baseX + last(scan), out.y);
          before = 'other';
          break;
        case 86:
          out.lineTo(out.x, baseY + last(scan));
          before = 'other';
          break;
        case 67: {
          const x1 = baseX + next(scan);
          const y1 = baseY + next(scan);
          controlX = baseX + next(scan);
          controlY = baseY + next(scan);
          const x = baseX + next(scan);
          out.cubicTo(x1, y1, controlX, controlY, x, baseY + last(scan));
          before = 'cubic';
          break;
        }
        case 83: {
          const x1 = before === 'cubic' ? 2 * out.x - controlX : out.x;
          const y1 = before === 'cubic' ? 2 * out.y - controlY : out.y;
          controlX = baseX + next(scan);
          controlY = baseY + next(scan);
          const x = baseX + next(scan);
          out.cubicTo(x1, y1, controlX, controlY, x, baseY + last(scan));
          before = 'cubic';
          break;
        }
        case 81: {
          controlX = baseX + next(scan);
          controlY = baseY + next(scan);
          const x = baseX + next(scan);
          out.quadraticTo(controlX, controlY, x, baseY + last(scan));
          before = 'quadratic';
          break;
        }
        case 84: {
          controlX = before === 'quadratic' ? 2 * out.x - controlX : out.x;
          controlY = before === 'quadratic' ? 2 * out.y - controlY : out.y;
          const x = baseX + next(scan);
          out.quadraticTo(controlX, controlY, x, baseY + last(scan));
          before = 'quadratic';
          break;
        }
        default: {
          const rx = next(scan);
          const ry = next(scan);
          const degrees = next(scan);
          const large = scan.flag();
          scan.skipSeparator();
          const positive = scan.flag();
          scan.skipSeparator();
          const x = baseX + next(scan);
          out.arcTo(rx, ry, degrees, large, positive, x, baseY + last(scan));
          before = 'other';
        }
      }
    } while (moreNumbers(scan));
  }
};

const takesNumbers = (code: number): boolean => {
  switch (code & ~32) {
    case 65: // A
    case 67: // C
    case 72: // H
    case 76: // L
    case 77: // M
    case 81: // Q
    case 83: // S
    case 84: // T
    case 86: // V
      return code > 64;
    default:
      return false;
  }
};

/** A number that another one follows. */
const next = (scan: Scanner): number => {
  const value = scan.number();
  scan.skipSeparator();
  return value;
};

/** The last number of a set. */
const last = (scan: Scanner): number => scan.number();

/** After a set of numbers: is there another one for the same command? */
const moreNumbers = (scan: Scanner): boolean => {
  const comma = scan.skipSeparator();
  if (scan.numberAhead()) return true;
  if (comma) throw scan.fault('a number after the comma');
  return false;
};

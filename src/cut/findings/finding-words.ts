/** Findings in sentences: one warning for each kind, with the openings and the place of each. */
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { type Finding, type FindingCode, findingCodes } from './finding.js';

type Kind = Job['cut']['kind'];

/** In the order of `findingCodes`. */
export const findingWarnings = (findings: readonly Finding[], kind: Kind): Warning[] =>
  findingCodes.flatMap((code): Warning[] => {
    const own = findings.filter((finding) => finding.code === code);
    if (own.length === 0) return [];
    return [
      {
        code,
        message: `${sentence(code, own, kind)}${consequence(code, own, kind)}`,
        places: own.map(({ openings, at, size }) => ({
          openings: [...openings],
          at: [at.x, at.y],
          ...(size === undefined ? {} : { size: [...size] as const }),
        })),
      },
    ];
  });

/** The same in a few words, without places; for findings of one kind. */
export const headline = (own: readonly Finding[], kind: Kind): string => {
  const [first] = own;
  const all = listed([...new Set(own.flatMap((finding) => finding.openings))]);
  switch (first!.code) {
    case 'nothing-left':
      return first!.what === 'opening' ? 'Nothing is left to cut.' : 'Nothing is left of the panel.';
    case 'breaks-edge':
      return `The cut breaks through the edge of the panel at ${all}.`;
    case 'falls-loose':
      return own.length === 1
        ? `A piece of material falls loose, cut out by ${all}.`
        : `${own.length} pieces of material fall loose, cut out by ${all}.`;
    case 'piece-splits':
      return `The cut takes the ${own.length === 1 ? 'piece' : 'pieces'} for ${all} apart.`;
    case 'openings-merged':
      return `The pieces for ${all} are not cut apart.`;
    case 'opening-vanished':
      return kind === 'inlay' ? `No piece is left for ${all}.` : `The material within ${all} is burnt away.`;
    case 'outside-outline':
      return `${all} ${own.length === 1 ? 'lies' : 'lie'} across the outline of the panel, or outside of it.`;
  }
};

const listed = (names: readonly string[]): string => {
  if (names.length > mostShown)
    return `${names.slice(0, mostShown).join(', ')} and ${names.length - mostShown} more`;
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
};

/** What happens, as a whole sentence. */
const sentence = (code: FindingCode, own: readonly Finding[], kind: Kind): string => {
  const one = own.length === 1;
  const count = own.length;
  switch (code) {
    case 'nothing-left':
      return own[0]!.what === 'opening'
        ? `Nothing is left to cut: ${named(own[0]!.openings)} ${own[0]!.openings.length === 1 ? 'has' : 'have'} no path.`
        : `Nothing is left of the panel at ${places(own)}: the new edges run together and beyond its edge.`;
    case 'breaks-edge':
      return `The cut breaks through the edge of the panel at ${one ? 'one place' : `${count} places`}: ${items(own)}.`;
    case 'falls-loose':
      return `${one ? '1 piece of material falls' : `${count} pieces of material fall`} loose: ${some(own.map(loose))}.`;
    case 'piece-splits':
      return `${one ? '1 part falls' : `${count} parts fall`} off the ${one ? 'piece' : 'pieces'} for ${named(own.flatMap((f) => f.openings))}: ${some(own.map(loose))}.`;
    case 'openings-merged':
      return `The pieces for ${some(own.map((f) => `${named(f.openings)} (${place(f)})`))} are not cut apart: the openings are nearer to each other than the beam needs.`;
    case 'opening-vanished':
      return `Nothing is left of ${some(own.map((f) => vanishedItem(f, kind)))}.`;
    case 'outside-outline':
      return `${one ? '1 opening lies' : `${count} openings lie`} across the outline of the panel, or outside of it: ${some(own.map((f) => `${item(f)}${f.whole ? ', outside' : ''}`))}.`;
  }
};

const consequence = (code: FindingCode, own: readonly Finding[], kind: Kind): string => {
  switch (code) {
    case 'nothing-left':
    case 'openings-merged':
      return '';
    case 'breaks-edge':
      return ` No material is left between ${own.length === 1 ? 'it' : 'them'} and the edge.`;
    case 'falls-loose':
      return ` The cut goes all round ${own.length === 1 ? 'it' : 'them'}.`;
    case 'piece-splits':
      return ' The neck in between is narrower than what is taken off on both sides.';
    case 'opening-vanished':
      if (own.every((f) => f.what === 'hole'))
        return ` The beam is too wide for ${own.length === 1 ? 'it' : 'them'}, or the piece round ${own.length === 1 ? 'it' : 'them'} is gone.`;
      return own.every((f) => f.what === 'island')
        ? ` ${own.length === 1 ? 'It was to stay standing, and is' : 'They were to stay standing, and are'} narrower than what is taken off on both sides.`
        : ` ${own.length === 1 ? 'It is' : 'They are'} narrower than the offset on both sides, or ${own.length === 1 ? 'encloses' : 'enclose'} nothing as drawn.`;
    case 'outside-outline':
      return kind === 'opening'
        ? ' The cut runs off the panel there.'
        : ' There is no panel round the whole of the piece.';
  }
};

const vanishedItem = (finding: Finding, kind: Kind): string => {
  const { openings, what } = finding;
  const where = `(${place(finding)})`;
  switch (what) {
    case 'part':
      return `a part of ${named(openings)} ${where}`;
    case 'island':
      return `the material ${openings.length > 1 ? 'between' : 'within'} ${named(openings)} ${where}`;
    case 'hole':
      return `the hole for ${named(openings)} ${where}${kind === 'inlay' ? ' in its piece' : ''}`;
    default:
      return `${named(openings)} ${where}`;
  }
};

const loose = (finding: Finding): string => {
  const [width, height] = finding.size ?? [0, 0];
  return `${width.toFixed(1)} x ${height.toFixed(1)} mm at ${place(finding)}, cut out by ${named(finding.openings)}`;
};

const place = ({ at }: Finding): string => `${figure(at.x)}, ${figure(at.y)}`;

/** Without a minus before zero. */
const figure = (value: number): string => (Math.round(value * 10) / 10 + 0).toFixed(1);

const places = (own: readonly Finding[]): string => own.map(place).join(' and ');

const item = (finding: Finding): string => `${named(finding.openings)} (${place(finding)})`;

const items = (own: readonly Finding[]): string => some(own.map(item));

const mostNames = 4;

const named = (openings: readonly string[]): string => {
  const names = [...new Set(openings)];
  if (names.length <= mostNames) return names.join(' + ');
  return `${names.slice(0, mostNames).join(' + ')} and ${names.length - mostNames} more`;
};

const mostShown = 5;

const some = (parts: readonly string[]): string =>
  parts.length <= mostShown
    ? parts.join('; ')
    : `${parts.slice(0, mostShown).join('; ')}; and ${parts.length - mostShown} more`;

/**
 * Names that say "registration mark", in whatever capitals, singular or plural, with or without a
 * number or a single letter behind: `Marks`, `mark_3`, `Registration marks`, `Passmarken`,
 * `Repères`, `marcas de registro`. What bears such a name is never assumed to be an opening.
 *
 * The words are those of general dictionaries in the languages of the trade's larger countries;
 * from memory. A word that also means something else in a drawing (cross, circle, point, line,
 * target) is not among them.
 */
import type { Shape } from '../model/drawing.js';
import { isPlain, labelsNow } from '../model/shape-store.js';

/** Words that alone are enough. */
const nouns = [
  // English
  'marks?|markers?|registrations?|fiducials?|crosshairs?|cropmarks?',
  '(registration|register|registry|reg|reference|ref|alignment|align|fiducial|crop|trim)(points?|dots?|holes?|cross|crosses|targets?|circles?|pins?)|registers?',
  // German
  'marken?|markierung(en)?|pa(ss|ß)(er)?(marken?|kreuze?)|(registrier|register|referenz|bezugs|me(ss|ß)|ausricht|justier)(marken?|punkte?)',
  'pa(ss|ß)(punkte?|er)',
  // French, Spanish and Portuguese, Italian
  'reperes?|marques?|marcas?|marchi|crocin[io]|registro',
  // Dutch, Danish and Norwegian, Swedish
  'merk(en|tekens?)|pas(kruis(en)?|(ser)?merken)|pasmaerker|maerker|merker|(pass)?marke(n|t)',
  // Polish, Czech
  'znacznik(i)?|pasery?|znack[ay]',
].join('|');

/** Words that may stand before or behind one of those. */
const qualifiers = [
  'reg|registration|register|registry|alignment|align|reference|ref|position(ing)?|locating|location|pin|peg|corner|drill(ed)?|fiducial',
  'panel|layer|ebene|calque|capa|top|bottom|left|right|front|back|upper|lower',
  'de|du|des|di|da|do|del|la|le|of|for|fuer|calage|reperage|registre|registro|referencia|riferimento|posicion|posicao|posizione',
].join('|');

/** Words that say it whatever stands beside them: `Registration (do not cut)`. */
const sureWords =
  /(^|\P{Letter})(registration|fiducials?|crosshairs?|crop ?marks?|reg(istration|ister)? ?(marks?|cross(es)?|points?)|pa(ss|ß)(er)?(marken?|kreuze?))(\P{Letter}|$)/u;

const pattern = new RegExp(`^(${qualifiers})*(${nouns})(${qualifiers})*$`);

/**
 * No name without one of these beginnings is looked at more closely: of a million names hardly any
 * is.
 */
const beginnings = /m[aäæe]r|reg|fid|r[eé]p|cro|pa[sß]|zna|ref|ali|bez|aus|jus/i;

/** Letters that do not come apart into a plain one and a sign over it. */
const plainLetters: Readonly<Record<string, string>> = { æ: 'ae', ø: 'o', ł: 'l' };

/** No name of marks is longer. */
const longest = 48;

/** Whether a name of a shape, group or layer says that marks are meant. */
export const saysMark = (name: string): boolean => {
  if (name.length > longest || !beginnings.test(name)) return false;
  const words = name
    .replace(/(\p{Lowercase})(\p{Uppercase})/gu, '$1 $2')
    .toLowerCase()
    .replace(/[æøł]/g, (letter) => plainLetters[letter]!)
    .normalize('NFD')
    .replace(/\p{Mark}/gu, '')
    // A number, or one letter set apart, counts the marks.
    .replace(/([^\p{Letter}]+\p{Letter})?[^\p{Letter}]*$/u, '');
  if (sureWords.test(words.replace(/[\s_.-]+/g, ' '))) return true;
  return (
    /^[\p{Letter}\p{Number}\s_./:-]*$/u.test(words) && pattern.test(words.replace(/[^\p{Letter}]/gu, ''))
  );
};

/**
 * Says by which of its names a shape is a mark: its own, or that of the innermost layer or group
 * that says so. Undefined: by none. Where the job names its marks the same names still say that a
 * shape is no opening.
 */
export const markNameOf = (): ((shape: Shape) => string | undefined) => {
  let layers: readonly string[] | undefined;
  let byLayer: string | undefined;
  return (shape) => {
    // Made-up names say what a shape is drawn as: no mark.
    if (!isPlain(shape)) {
      if (shape.named && saysMark(shape.id)) return shape.id;
      for (const label of labelsNow(shape)) if (saysMark(label)) return label;
    }
    if (shape.layers !== layers) {
      layers = shape.layers;
      byLayer = layers.find(saysMark);
    }
    return byLayer;
  };
};

/** How names are written in a DXF file. */

/**
 * Names of `$DWGCODEPAGE` (from memory of the published DXF reference) and the labels of the WHATWG
 * Encoding standard, which every browser and Node know. Pages of DOS that neither it nor `dosPages`
 * has are read as ANSI 1252: ASCII is right then.
 */
const labels: ReadonlyMap<string, string> = new Map([
  ['874', 'windows-874'],
  ['932', 'shift_jis'],
  ['936', 'gbk'],
  ['949', 'euc-kr'],
  ['950', 'big5'],
  ['1250', 'windows-1250'],
  ['1251', 'windows-1251'],
  ['1252', 'windows-1252'],
  ['1253', 'windows-1253'],
  ['1254', 'windows-1254'],
  ['1255', 'windows-1255'],
  ['1256', 'windows-1256'],
  ['1257', 'windows-1257'],
  ['1258', 'windows-1258'],
  ['866', 'ibm866'],
  ['8859-1', 'windows-1252'],
  ['8859-2', 'iso-8859-2'],
  ['8859-5', 'iso-8859-5'],
  ['8859-7', 'iso-8859-7'],
  ['8859-9', 'windows-1254'],
]);

/**
 * The upper halves of pages of DOS, which release 12 wrote (Unicode's mapping tables CP437, CP850
 * and CP852, by Python's codecs).
 */
const dosPages: ReadonlyMap<string, string> = new Map([
  [
    '437',
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u00a0',
  ],
  [
    '850',
    'ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐└┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u00ad±‗¾¶§÷¸°¨·¹³²■\u00a0',
  ],
  [
    '852',
    'ÇüéâäůćçłëŐőîŹÄĆÉĹĺôöĽľŚśÖÜŤťŁ×čáíóúĄąŽžĘę¬źČş«»░▒▓│┤ÁÂĚŞ╣║╗╝Żż┐└┴┬├─┼Ăă╚╔╩╦╠═╬¤đĐĎËďŇÍÎě┘┌█▄ŢŮ▀ÓßÔŃńňŠšŔÚŕŰýÝţ´\u00ad˝˛ˇ˘§÷¸°¨˙űŘř■\u00a0',
  ],
]);

/** Escapes of the form \M+18AF1: a page of two bytes by its number, and a letter in it. */
const escapedPages: ReadonlyMap<string, string> = new Map([
  ['1', 'shift_jis'],
  ['2', 'big5'],
  ['3', 'euc-kr'],
  ['5', 'gbk'],
]);

/** From this version on (of the year 2007) DXF is UTF-8. */
const firstUtf8 = 'AC1021';

/**
 * Bytes to text. No bytes are refused: a name in the wrong code page comes out misspelt, it does
 * not stop the drawing.
 *
 * Older versions follow their code page. Where that is ANSI 1252, or none is stated, bytes that are
 * valid UTF-8 are taken as UTF-8 all the same: many programs write 1252 into every header.
 */
export class TextDecoding {
  private readonly utf8 = new TextDecoder('utf-8', { fatal: true });
  private page: (bytes: Uint8Array) => string = pageOf('windows-1252');
  private utf8First = true;

  set(version: string | undefined, codepage: string | undefined): void {
    const number = /[0-9].*$/.exec(codepage ?? '')?.[0] ?? '';
    const dos = dosPages.get(number);
    const label = labels.get(number) ?? 'windows-1252';
    this.page = dos === undefined ? pageOf(label) : dosPageOf(dos);
    this.utf8First =
      (dos === undefined && label === 'windows-1252') || (version !== undefined && version >= firstUtf8);
  }

  /**
   * Escapes of the form \U+00FC stand for a character by its number, of the form \M+18AF1 for one
   * of a code page.
   */
  decode(bytes: Uint8Array): string {
    const text = this.plain(bytes);
    if (!text.includes('\\U+') && !text.includes('\\M+')) return text;
    return text.replace(
      /\\U\+([0-9A-F]{4})|\\M\+([1235])([0-9A-F]{2})([0-9A-F]{2})/gi,
      (_, unicode, page, first, second) => {
        if (unicode !== undefined) return String.fromCharCode(Number.parseInt(unicode, 16));
        const pair = [first, second].map((digits) => Number.parseInt(digits, 16));
        return new TextDecoder(escapedPages.get(page)).decode(Uint8Array.from(pair));
      },
    );
  }

  private plain(bytes: Uint8Array): string {
    if (bytes.length < 64 && bytes.every((byte) => byte < 0x80)) return String.fromCharCode(...bytes);
    if (!this.utf8First) return this.page(bytes);
    try {
      return this.utf8.decode(bytes);
    } catch {
      return this.page(bytes);
    }
  }
}

const pageOf = (label: string): ((bytes: Uint8Array) => string) => {
  const decoder = new TextDecoder(label);
  return (bytes) => decoder.decode(bytes);
};

const dosPageOf =
  (upperHalf: string): ((bytes: Uint8Array) => string) =>
  (bytes) =>
    Array.from(bytes, (byte) => (byte < 0x80 ? String.fromCharCode(byte) : upperHalf[byte - 0x80]!)).join('');

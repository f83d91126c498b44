/** How names are written in a DXF file. */

/**
 * Names of `$DWGCODEPAGE` (from memory of Autodesk's DXF reference) and the labels of the WHATWG Encoding standard, which
 * every browser and Node know. The pages of DOS that the standard lacks are read as ANSI 1252: ASCII is right then.
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

/** From this version on (AutoCAD 2007) DXF is UTF-8. */
const firstUtf8 = 'AC1021';

/**
 * Bytes to text. No bytes are refused: a name in the wrong code page comes out misspelt, it does not stop the drawing.
 *
 * Older versions follow their code page. Where that is ANSI 1252, or none is stated, bytes that are valid UTF-8 are taken
 * as UTF-8 all the same: many programs write 1252 into every header.
 */
export class TextDecoding {
  private readonly utf8 = new TextDecoder('utf-8', { fatal: true });
  private page = new TextDecoder('windows-1252');
  private utf8First = true;

  set(version: string | undefined, codepage: string | undefined): void {
    const number = /[0-9].*$/.exec(codepage ?? '')?.[0] ?? '';
    const label = labels.get(number) ?? 'windows-1252';
    this.page = new TextDecoder(label);
    this.utf8First = label === 'windows-1252' || (version !== undefined && version >= firstUtf8);
  }

  /** Escapes of the form \U+00FC stand for a character by its number. */
  decode(bytes: Uint8Array): string {
    const text = this.plain(bytes);
    return text.includes('\\U+')
      ? text.replace(/\\U\+([0-9A-Fa-f]{4})/g, (_, digits) =>
          String.fromCharCode(Number.parseInt(digits, 16)),
        )
      : text;
  }

  private plain(bytes: Uint8Array): string {
    if (bytes.length < 64 && bytes.every((byte) => byte < 0x80)) return String.fromCharCode(...bytes);
    if (!this.utf8First) return this.page.decode(bytes);
    try {
      return this.utf8.decode(bytes);
    } catch {
      return this.page.decode(bytes);
    }
  }
}

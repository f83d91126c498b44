import { describe, expect, it } from 'vitest';
import { saysMark } from '../../src/drawing/roles/mark-names.js';

describe('a name', () => {
  it.each(
    'mark|Marks|MARKS|mark-3|Mark A|markB|marks 1-4|Marker 12b|4 marks|Registration|REGISTRATION MARKS|RegMarks|reg_marks_top|alignment-marks|reference points|fiducial1|crosshairs|layer:marks|Marken|Passmarken|Paßmarke|Passkreuze|Markierungen|Bezugspunkte|Repères|Marques de repérage|marcas de registro|crocini di registro|paskruisen|Mærker|Passmärken|znaczniki|Značky|Register crosses|register-cross-2|Registers|Crop marks (do not cut)|Registration, laser|camera fiducials|crop_crosses|Passkreuze nicht schneiden'.split(
      '|',
    ),
  )('says that marks are meant, in any case and number: %s', (name) => {
    expect(saysMark(name)).toBe(true);
  });

  it.each(
    'remarks|landmark|bookmark|watermark|trademark|benchmark|markings|registered|Markus|Markise|mark-lines|pegs|cross|target|leaves|Öffnungen|crop|cropped leaves|register office|g12|m|'.split(
      '|',
    ),
  )('says nothing of marks: "%s"', (name) => {
    expect(saysMark(name)).toBe(false);
  });
});

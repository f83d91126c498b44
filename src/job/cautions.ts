/** The usual cautions. */

/**
 * What belongs beside every cut file. Chlorine and hydrogen chloride from PVC, reflecting metal:
 * common knowledge of the trade; laser safety: IEC 60825-1, machines that process with lasers: ISO
 * 11553-1.
 */
export const cautions: readonly string[] = [
  'Run the file once with the beam off and watch where the pointer goes.',
  'Stay with a running laser, with the extraction on and a fire extinguisher at hand.',
  "Never laser-cut PVC or vinyl film: it gives off chlorine and hydrogen chloride, which harm you and corrode the machine. The film's safety data sheet says what it is.",
  'Bright metal leaf and foil reflect the beam.',
  "The machine's manual, local rules and a qualified person come before this tool (IEC 60825-1, ISO 11553-1).",
];

/**
 * How large an error may be of which nobody says anything: common practice, no source, all of them. Where such a value would
 * turn a verdict of `fits`, it is not given.
 */
export const commonPractice = {
  /** sd of a drilled or engraved mark about its place as drawn, mm per axis. */
  markSd: 0.1,
  /** sd of one reading, where it is estimated from few residuals, mm per axis. */
  readingSd: 0.05,
  /** Bow of a panel in its plane, mm per mm of its length: half a millimetre over a metre. */
  bowPerLength: 0.0005,
  /** Growth or shrinkage by humidity or heat, as a share: a millimetre over a metre. */
  sizeChange: 0.001,
  /** Lost motion of an axis, mm. */
  lostMotion: 0.1,
  /** sd of where the same cut lands again, mm per axis. */
  cutSd: 0.05,
  /** sd of the kerf's full width, mm. */
  kerfSd: 0.05,
  /** Habit of an eye at marks against the dots of the beam offset, to any side, mm. */
  pointingBias: 0.1,
} as const;

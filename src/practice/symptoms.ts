// What the owner would complain of: symptom ids from what the set does.
import type { Observed } from './circuits/observe.ts';
import type { Solved } from './circuits/solve.ts';

/** Complaints, plainest first; empty when the owner would be content. */
export function complaintsOf(s: Solved, seen: Observed): readonly string[] {
  if (s.lineAtSet < 1 || s.heaters.open || (s.heaters.tubes < 0.3 && s.supply.main < 20)) return ['dead'];
  if (s.supply.blown) return ['trips-fuse'];
  const list: string[] = [];
  const lit = seen.lightBright > 0.06;
  if (s.supply.main < 0.3 * s.design.bPlus) return ['lights-no-sound-no-raster'];
  if (!lit) list.push('no-raster');
  else {
    if (seen.lightDark > 0.35) list.push('no-brightness-control');
    else if (seen.lightBright < 0.7) list.push('dim');
    if (seen.height < 0.06) list.push('single-line');
    else if (seen.height * 1.2 < 0.9) list.push('short');
    else if (seen.height * 0.75 > 1.1) list.push('too-tall');
    if (seen.width < 0.1) list.push('thin-vertical-line');
    else if (seen.width < 0.87) list.push('narrow');
    else if (seen.width > 1.2) list.push('too-wide');
    if (seen.anodeBright < 0.8 * seen.anodeDark) list.push('blooms');
    if (seen.height > 0.06 && seen.verticalLinearity < 0.72) list.push('cramped-bottom');
    if (seen.keystone !== 'none') list.push('keystone');
    if (seen.neckShadow) list.push('shadow-in-corner');
    if (seen.horizontalLinearity < 0.7) list.push('left-bars');
    if (seen.focus < 0.6) list.push('out-of-focus');
    if (seen.retraceLines) list.push('retrace-lines');
    if (seen.negative) list.push('negative-picture');
    else if (seen.picture < 0.08) list.push(seen.sound < 0.15 ? 'no-picture-no-sound' : 'no-picture');
    else if (seen.picture < 0.55) list.push('weak-picture');
    else if (s.signal.sharpness < 0.55) list.push('smear');
    if (seen.picture > 0.08 && seen.snow > 0.45) list.push('snow');
    if (seen.picture > 0.08 && s.configuration.signal === 'applied') {
      if (!seen.locksVertical && !seen.locksHorizontal && s.signal.syncPp < 12) list.push('no-sync');
      else {
        if (!seen.locksVertical && seen.height > 0.06) list.push('rolls');
        if (!seen.locksHorizontal) list.push('tears');
      }
      if (seen.pieCrust) list.push('pie-crust');
    }
  }
  if (seen.sound < 0.12 && !list.includes('no-picture-no-sound')) list.push('no-sound');
  else if (seen.sound >= 0.12 && seen.sound < 0.5) list.push('weak-sound');
  if (seen.sound >= 0.12 && seen.soundDistortion > 0.3)
    list.push(s.values['sound.volume-control.dirty'] ? 'scratchy-volume' : 'distorted-sound');
  if (seen.hum > 0.5) list.push('hum');
  if (seen.redPlate) list.push('red-plate');
  if (
    s.values['high-voltage.corona'] ||
    (s.values['high-voltage.socket-track'] ?? 0) > 0.3 ||
    (s.values['flyback.breakdown'] ?? 0) > 0.3
  )
    list.push('arcing');
  if ((s.values['b-plus.transformer-turns'] ?? 0) > 60) list.push('burning-smell');
  return list;
}

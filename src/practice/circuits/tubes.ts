// Vacuum tubes as behavioural sources: the 3/2-power law, grid current and gas. Child-Langmuir, any tube handbook.

/** Space-charge factor that gives `amps` at these volts: K = I / (Vg + Vc/mu)^1.5. */
export function perveance(amps: number, gridVolts: number, controlVolts: number, mu: number): number {
  return amps / Math.max(gridVolts + controlVolts / mu, 0.1) ** 1.5;
}

export interface TubeNodes {
  readonly name: string;
  readonly plate: string;
  readonly grid: string;
  readonly cathode: string;
  /** Space-charge factor, A/V^1.5, emission included. */
  readonly k: number;
  readonly mu: number;
  /** Gas or grid-emission current into the grid at `ratedAmps` of cathode current, A. */
  readonly gas: number;
  readonly ratedAmps: number;
  /** Leak from grid to cathode, and from cathode to heater, ohm. */
  readonly gridCathode: number;
}

/** A triode: plate current, grid current when positive, gas. */
export function triode(t: TubeNodes): string[] {
  const space = `${t.k}*pwr(uramp(v(${t.grid},${t.cathode})+v(${t.plate},${t.cathode})/${t.mu}),1.5)`;
  const shut = `(v(${t.plate},${t.cathode})>0 ? 1 : 0)`;
  return [
    `b${t.name} ${t.plate} ${t.cathode} i=${space}*${shut}`,
    ...gridLines(t, space),
    `rp${t.name} ${t.plate} ${t.cathode} 1e9`,
  ];
}

/** A pentode or beam tube: the screen rules the current, the plate takes most of it above its knee. */
export function pentode(t: TubeNodes & { readonly screen: string; readonly screenShare: number }): string[] {
  const space = `${t.k}*pwr(uramp(v(${t.grid},${t.cathode})+uramp(v(${t.screen},${t.cathode}))/${t.mu}),1.5)`;
  const knee = `tanh(uramp(v(${t.plate},${t.cathode}))/25)`;
  const plate = `(${1 - t.screenShare})*${knee}`;
  return [
    `b${t.name} ${t.plate} ${t.cathode} i=${space}*${plate}`,
    `bs${t.name} ${t.screen} ${t.cathode} i=${space}*(${t.screenShare}+0.5*(${1 - t.screenShare})*(1-${knee}))*tanh(uramp(v(${t.screen},${t.cathode}))/10)`,
    ...gridLines(t, space),
    `rp${t.name} ${t.plate} ${t.cathode} 1e9`,
    `rs${t.name} ${t.screen} ${t.cathode} 1e9`,
  ];
}

function gridLines(t: TubeNodes, space: string): string[] {
  return [
    `bg${t.name} ${t.grid} ${t.cathode} i=${Math.max(t.k, 1e-7)}*pwr(uramp(v(${t.grid},${t.cathode})),1.5)`,
    `bi${t.name} 0 ${t.grid} i=${t.gas / t.ratedAmps}*${space}`,
    `rgk${t.name} ${t.grid} ${t.cathode} ${t.gridCathode}`,
  ];
}

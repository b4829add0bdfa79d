// Why a rulebook cannot become a network.

/** A rulebook that cannot become a network, with the reason in words a rule writer can act on. */
export class NetworkError extends Error {
  readonly kind: 'cycle' | 'too-wide' | 'unknown-signal';
  constructor(kind: NetworkError['kind'], message: string) {
    super(message);
    this.name = 'NetworkError';
    this.kind = kind;
  }
}

/** What the tests use of jstat, which comes without types: an independent reference for distributions. */
declare module 'jstat' {
  interface Continuous {
    inv(share: number, a: number, b?: number): number
    cdf(x: number, a: number, b?: number): number
  }
  interface Discrete {
    pdf(k: number, a: number, b?: number): number
    cdf(k: number, a: number, b?: number): number
  }
  const library: {
    readonly jStat: {
      readonly chisquare: Continuous
      readonly beta: Continuous
      readonly normal: Continuous
      readonly lognormal: Continuous
      readonly studentt: Continuous
      readonly poisson: Discrete
      readonly binomial: Discrete
    }
  }
  export default library
}

import { HttpProblem } from './problem.ts'

interface Described {
  readonly method: string
  readonly path: string
}

/** What to say to a request that no route took: the methods that its path does have, or that there is no such path. */
export function createNotFound(routes: readonly Described[]): (method: string, path: string) => HttpProblem {
  const known = routes.map(({ method, path }) => ({
    methods: method === 'get' ? ['GET', 'HEAD'] : [method.toUpperCase()],
    pattern: new RegExp(`^${path.replaceAll('.', '\\.').replaceAll(/\{\w+\}/g, '[^/]+')}$`),
  }))

  return function notFound(method, path) {
    const methods = known.filter(route => route.pattern.test(path)).flatMap(route => route.methods)
    if (methods.length === 0)
      return new HttpProblem(404, `Cannot find ${path}: there is nothing at this address`)
    const allow = [...new Set(methods)].sort().join(', ')
    return new HttpProblem(405, `Cannot ${method} ${path}: only ${allow} can be done here`, {
      headers: { Allow: allow },
    })
  }
}

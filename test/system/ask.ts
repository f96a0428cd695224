import { request } from 'node:https'

/** Asks over HTTPS, trusting one authority alone. */
export function ask(
  url: string,
  ca: string,
  method = 'GET',
  body?: unknown,
): Promise<{ status: number; text: string; headers: object }> {
  return new Promise((resolve, reject) => {
    const headers = body === undefined ? {} : { 'content-type': 'application/json' }
    const asked = request(url, { ca, servername: 'localhost', method, headers }, answer => {
      let text = ''
      answer.setEncoding('utf8').on('data', part => (text += String(part)))
      answer.on('end', () => resolve({ status: answer.statusCode!, text, headers: answer.headers }))
    })
    asked.on('error', reject).end(body === undefined ? undefined : JSON.stringify(body))
  })
}

import { createServer } from 'node:http'
import type { AddressInfo } from 'node:net'

/** What a server answers at an address. */
export interface Answer {
  body: string | Buffer
  status?: number
  type?: string
  /** share of what is promised that is sent before the line breaks */
  sent?: number
  /** `false`: it lets no other site fetch it */
  isOpen?: boolean
}

/** Serves answers by path, on an origin of its own. */
export async function serveAnswers(
  answers: Readonly<Record<string, Answer>>,
): Promise<{ url: string; close(): Promise<void> }> {
  const server = createServer((request, response) => {
    const answer = answers[request.url ?? ''] ?? { status: 404, body: '' }
    const { status = 200, type = 'application/octet-stream', sent = 1, isOpen = true } = answer
    const body = Buffer.from(answer.body)
    response.writeHead(status, {
      'Content-Type': type,
      'Content-Length': body.length,
      ...(isOpen && { 'Access-Control-Allow-Origin': '*' }),
    })
    if (sent === 1) response.end(body)
    else response.write(body.subarray(0, sent * body.length), () => response.destroy())
  })
  await new Promise<void>((listening) => server.listen(0, 'localhost', listening))
  return {
    url: `http://localhost:${(server.address() as AddressInfo).port}`,
    close: () => new Promise((closed) => server.close(() => closed())),
  }
}

// Stands before VS Code as its servers for browsers do: /proxy/PORT/ is what listens there, the rest VS Code.

import http from "node:http";
import net from "node:net";

const HANDED_ON = /^\/proxy\/(\d+)(\/.*)/;

/** Begins before the VS Code at `port`; gives the port to ask instead, and what ends it. */
export async function front(port) {
  const server = http.createServer((request, response) => {
    const [, other = port, path = request.url] = HANDED_ON.exec(request.url) ?? [];
    const { method, headers } = request;
    const asked = http.request({ host: "127.0.0.1", port: other, path, method, headers }, (answer) => {
      response.writeHead(answer.statusCode, answer.headers);
      answer.pipe(response);
    });
    asked.on("error", () => response.destroy());
    response.on("close", () => asked.destroy());
    request.pipe(asked);
  });
  server.on("upgrade", (request, socket, head) => {
    const other = net.connect(port, "127.0.0.1", () => {
      const lines = request.rawHeaders.flatMap((text, at, all) => (at % 2 ? [] : [`${text}: ${all[at + 1]}\r\n`]));
      other.write(`${request.method} ${request.url} HTTP/1.1\r\n${lines.join("")}\r\n`);
      other.write(head);
      socket.pipe(other).pipe(socket);
    });
    for (const end of [socket, other]) end.on("error", () => (socket.destroy(), other.destroy()));
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const close = () => {
    server.close();
    server.closeAllConnections();
  };
  return { port: server.address().port, close };
}

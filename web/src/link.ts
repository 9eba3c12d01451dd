// The WebSocket to the recorder. It reconnects by itself, sooner at first,
// and drops a connection that has gone silent.
import { decode } from "./decode.ts";
import type { Action, Message } from "./messages.ts";

export interface Handlers {
  opened(): void;
  message(message: Message): void;
  closed(): void;
}

const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 5000;
// Radio links die without a word. The recorder speaks ten times a second.
const DEAD_AFTER_MS = 8000;

export class Link {
  private socket: WebSocket | null = null;
  private wait_ms = FIRST_WAIT_MS;
  private watchdog = 0;

  constructor(private readonly url: string, private readonly on: Handlers) {}

  open(): void {
    const socket = new WebSocket(this.url);
    this.socket = socket;
    this.watch();
    socket.onopen = () => {
      this.wait_ms = FIRST_WAIT_MS;
      this.on.opened();
    };
    socket.onmessage = (event) => {
      if (socket !== this.socket) return;
      this.watch();
      try {
        const message = decode(String(event.data));
        if (message) this.on.message(message);
      } catch (error) {
        console.warn("masseter: a message could not be read:", error);
      }
    };
    socket.onclose = () => this.again(socket);
  }

  /** False when there is no connection to say it on. */
  send(action: Action): boolean {
    if (this.socket?.readyState !== WebSocket.OPEN) return false;
    this.socket.send(JSON.stringify(action));
    return true;
  }

  private watch(): void {
    clearTimeout(this.watchdog);
    const socket = this.socket;
    this.watchdog = window.setTimeout(() => {
      if (!socket) return;
      socket.close();
      this.again(socket); // onclose may take a minute on a dead link
    }, DEAD_AFTER_MS);
  }

  private again(socket: WebSocket): void {
    if (socket !== this.socket) return;
    this.socket = null;
    clearTimeout(this.watchdog);
    this.on.closed();
    void reloadIfForgotten();
    window.setTimeout(() => this.open(), this.wait_ms);
    this.wait_ms = Math.min(LONGEST_WAIT_MS, this.wait_ms * 2);
  }
}

/** A recorder that was started anew may know neither this visitor nor this
    version of the page: then there is the door, or a newer page, to load. */
async function reloadIfForgotten(): Promise<void> {
  const own = await fetch(import.meta.url, { method: "HEAD", cache: "no-store" })
    .catch(() => null);
  if (own && !own.ok) location.reload();
}

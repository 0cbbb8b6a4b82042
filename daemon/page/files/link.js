// The way to the daemon: requests, and the live connection that comes back by itself.

export class NotSignedIn extends Error {}

// Gives the answer's object; throws NotSignedIn, or an Error with the daemon's own sentence.
export async function ask(method, path, body, signal) {
  const options = {method, headers: {}, cache: 'no-store', signal};
  if (body !== undefined) {
    options.headers['Content-Type'] = 'application/json';
    options.body = JSON.stringify(body);
  } else if (method === 'POST') {
    options.headers['Content-Type'] = 'application/json';
  }
  let answer;
  try {
    answer = await fetch(path, options);
  } catch {
    throw new Error('The daemon does not answer.');
  }
  if (answer.status === 401 && path !== '/api/sign-in') throw new NotSignedIn();
  const object = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Error(object.error || 'The daemon refused (' + answer.status + ').');
  return object;
}

// Calls tell.vehicle(message), tell.now(message), tell.contact('live' | 'lost'), tell.signIn().
export function listen(tell) {
  const silence = 2000;  // without a message for so long: no contact
  const patience = 5000;  // then the connection is given up: it may be dead without anybody saying so
  let socket = null;
  let last = 0;  // a sign of life, or the beginning of a connection
  let wait = 500;

  // A refused WebSocket does not say why.
  async function refused() {
    socket = null;
    try {
      await ask('GET', '/api/now', undefined, AbortSignal.timeout(patience));
    } catch (error) {
      if (error instanceof NotSignedIn) return tell.signIn();
    }
    again();
  }

  // A WebSocket first: it is a connection of its own, where a question may be put on an old one that
  // is dead.
  function open() {
    const scheme = location.protocol === 'https:' ? 'wss://' : 'ws://';
    socket = new WebSocket(scheme + location.host + '/api/live');
    last = Date.now();
    socket.onmessage = (event) => {
      last = Date.now();
      wait = 500;
      const message = JSON.parse(event.data);
      tell.contact('live');
      if (message.kind === 'vehicle') tell.vehicle(message);
      if (message.kind === 'now') tell.now(message);
    };
    socket.onopen = () => { socket.onclose = again; };
    socket.onclose = refused;
  }

  function again() {
    if (socket) {
      // Closing a dead connection ends only after its own long patience: it is not waited for.
      socket.onopen = socket.onmessage = socket.onclose = null;
      socket.close();
    }
    socket = null;
    tell.contact('lost');
    setTimeout(open, wait);
    wait = Math.min(wait * 2, 5000);
  }

  setInterval(() => {
    if (!socket) return;
    const silent = Date.now() - last;
    if (silent > patience) again();
    else if (silent > silence) tell.contact('lost');
  }, 500);
  open();
  return {signedIn: open};
}

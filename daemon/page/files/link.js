// The way to the daemon: requests, and the live connection that comes back by itself.

export class NotSignedIn extends Error {}

// Gives the answer's object; throws NotSignedIn, or an Error with the daemon's own sentence.
export async function ask(method, path, body) {
  const options = {method, headers: {}, cache: 'no-store'};
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
  let socket = null;
  let last = 0;
  let wait = 500;

  async function open() {
    try {
      await ask('GET', '/api/now');  // a refused WebSocket does not say why
    } catch (error) {
      if (error instanceof NotSignedIn) return tell.signIn();
      return again();
    }
    const scheme = location.protocol === 'https:' ? 'wss://' : 'ws://';
    socket = new WebSocket(scheme + location.host + '/api/live');
    socket.onmessage = (event) => {
      last = Date.now();
      wait = 500;
      const message = JSON.parse(event.data);
      tell.contact('live');
      if (message.kind === 'vehicle') tell.vehicle(message);
      if (message.kind === 'now') tell.now(message);
    };
    socket.onclose = again;
  }

  function again() {
    socket = null;
    tell.contact('lost');
    setTimeout(open, wait);
    wait = Math.min(wait * 2, 5000);
  }

  setInterval(() => {
    if (socket && last && Date.now() - last > silence) tell.contact('lost');
  }, 500);
  open();
  return {signedIn: open};
}

// A worker that does nothing but tell that time has passed; see pulse.js.

onmessage = ({ data: gap }) => setInterval(() => postMessage(0), gap);

// The pump's clock. A hidden silent page gets one timer tick a second; a worker keeps its own.
// In: {every: milliseconds} starts or changes the ticks, "stop" ends them. Out: "tick".
let timer;
onmessage = ({ data }) => {
  clearInterval(timer);
  if (data !== "stop") timer = setInterval(() => postMessage("tick"), data.every);
};

// A room to look round in: six faces of a cube about the eye, drawn beforehand, looked up by the direction of each pixel.

const VERTEX = `#version 300 es
in vec2 place;
void main() { gl_Position = vec4(place, 0.0, 1.0); }`;

const FRAGMENT = `#version 300 es
precision highp float;
uniform samplerCube first, second;
uniform vec3 ahead, right, up;   // of the eye, right and up as long as the tangents of half the field of view
uniform vec2 size;
uniform float split;             // pixels from the left where the second begins
out vec4 pixel;
void main() {
  vec2 at = 2.0 * gl_FragCoord.xy / size - 1.0;
  vec3 way = ahead + at.x * right + at.y * up;
  vec4 one = texture(first, way), two = texture(second, way);
  pixel = vec4((gl_FragCoord.x < split ? one : two).rgb, 1.0);
  if (abs(gl_FragCoord.x - split) < 1.5) pixel = vec4(1.0);
}`;

const WIDEST = 1.9, NARROWEST = 0.5, STEEPEST = 1.45, STEP = 0.12;   // radians

class Round {
  // `points` with `bearing`, `pitch` and `faces`: of each variant six addresses of pictures.
  constructor(canvas, points, names) {
    this.canvas = canvas;
    this.points = points;
    this.names = names;
    this.gl = canvas.getContext("webgl2", { antialias: false });
    this.cubes = new Map();
    this.point = 0;
    this.shown = [0, Math.min(1, names.length - 1)];
    this.split = 0.5;
    this.field = 1.35;
    if (this.gl) this.prepare();
  }

  get works() { return this.gl !== null; }

  prepare() {
    const gl = this.gl, program = gl.createProgram();
    for (const [kind, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, FRAGMENT]]) {
      const shader = gl.createShader(kind);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.linkProgram(program);
    gl.useProgram(program);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
    const place = gl.getAttribLocation(program, "place");
    gl.enableVertexAttribArray(place);
    gl.vertexAttribPointer(place, 2, gl.FLOAT, false, 0, 0);
    this.at = Object.fromEntries(
      ["first", "second", "ahead", "right", "up", "size", "split"].map((name) => [name, gl.getUniformLocation(program, name)]));
    gl.uniform1i(this.at.first, 0);
    gl.uniform1i(this.at.second, 1);
  }

  // Stand at a point, looking as its picture does, and draw it once its faces are there.
  async stand(number) {
    this.point = number;
    const { bearing, pitch } = this.points[number];
    this.bearing = bearing;
    this.pitch = pitch;
    await this.follow();
  }

  async follow() {
    const wanted = this.point;
    await Promise.all([...new Set(this.shown)].map((variant) => this.cube(wanted, variant)));
    if (wanted === this.point) this.draw();
  }

  cube(point, variant) {
    const key = `${point} ${variant}`;
    if (!this.cubes.has(key)) this.cubes.set(key, this.load(this.points[point].faces[variant]));
    return this.cubes.get(key).then((cube) => { (this.ready ??= new Map()).set(key, cube); return cube; });
  }

  async load(faces) {
    const gl = this.gl;
    const images = await Promise.all(faces.map((address) => {
      const image = new Image();
      image.src = address;
      return image.decode().then(() => image);
    }));
    const cube = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_CUBE_MAP, cube);
    images.forEach((image, n) => gl.texImage2D(
      gl.TEXTURE_CUBE_MAP_POSITIVE_X + n, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, image));
    gl.generateMipmap(gl.TEXTURE_CUBE_MAP);
    gl.texParameteri(gl.TEXTURE_CUBE_MAP, gl.TEXTURE_MIN_FILTER, gl.LINEAR_MIPMAP_LINEAR);
    gl.texParameteri(gl.TEXTURE_CUBE_MAP, gl.TEXTURE_MAG_FILTER, gl.LINEAR);
    return cube;
  }

  // Let go of what is shown, for other points.
  forget() {
    for (const cube of this.ready?.values() ?? []) this.gl.deleteTexture(cube);
    this.ready = new Map();
    this.cubes.clear();
  }

  draw() {
    const gl = this.gl, canvas = this.canvas, density = Math.min(window.devicePixelRatio || 1, 2);
    const cubes = this.shown.map((variant) => this.ready?.get(`${this.point} ${variant}`));
    if (cubes.some((each) => !each)) return;
    canvas.width = Math.max(1, Math.round(canvas.clientWidth * density));
    canvas.height = Math.max(1, Math.round(canvas.clientHeight * density));
    gl.viewport(0, 0, canvas.width, canvas.height);
    cubes.forEach((cube, n) => {
      gl.activeTexture(gl.TEXTURE0 + n);
      gl.bindTexture(gl.TEXTURE_CUBE_MAP, cube);
    });
    const [sb, cb, sp, cp] = [Math.sin(this.bearing), Math.cos(this.bearing), Math.sin(this.pitch), Math.cos(this.pitch)];
    const half = Math.tan(this.field / 2), wide = canvas.width >= canvas.height;
    const across = wide ? half : half * canvas.width / canvas.height, down = wide ? half * canvas.height / canvas.width : half;
    gl.uniform3f(this.at.ahead, sb * cp, sp, cb * cp);            // a cube's directions are east, up, north
    gl.uniform3f(this.at.right, across * cb, 0, -across * sb);
    gl.uniform3f(this.at.up, -down * sb * sp, down * cp, -down * cb * sp);
    gl.uniform2f(this.at.size, canvas.width, canvas.height);
    gl.uniform1f(this.at.split, this.shown[0] === this.shown[1] ? canvas.width + 9 : this.split * canvas.width);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  turn(bearing, pitch) {
    this.bearing += bearing;
    this.pitch = Math.max(-STEEPEST, Math.min(STEEPEST, this.pitch + pitch));
    this.draw();
  }

  zoom(share) {
    this.field = Math.max(NARROWEST, Math.min(WIDEST, this.field * share));
    this.draw();
  }
}

// Turn by drags, which a second finger ends, and by keys.
function turnable(round) {
  const canvas = round.canvas;
  const scale = () => round.field / Math.max(canvas.clientWidth, canvas.clientHeight);
  let last = null;
  canvas.addEventListener("pointerdown", (event) => {
    last = event.isPrimary ? [event.clientX, event.clientY] : null;
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!last || !event.isPrimary) return;
    round.turn((last[0] - event.clientX) * scale(), (event.clientY - last[1]) * scale());
    last = [event.clientX, event.clientY];
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => { if (event.isPrimary) last = null; });
  canvas.addEventListener("keydown", (event) => {
    const done = {
      ArrowLeft: () => round.turn(-STEP, 0), ArrowRight: () => round.turn(STEP, 0),
      ArrowUp: () => round.turn(0, STEP), ArrowDown: () => round.turn(0, -STEP),
      "+": () => round.zoom(1 / 1.15), "=": () => round.zoom(1 / 1.15), "-": () => round.zoom(1.15),
    }[event.key];
    if (!done || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    done();
  });
}

// Look where a telephone is turned, for as long as it is wanted; nothing where a device doesn't say.
class Turning {
  constructor(round) {
    this.round = round;
    this.follow = (event) => {
      if (event.alpha === null) return;
      const now = [event.alpha, event.beta].map((each) => each * Math.PI / 180);
      if (this.from) {
        const turned = Math.atan2(Math.sin(this.from[0] - now[0]), Math.cos(this.from[0] - now[0]));
        this.round.turn(turned, now[1] - this.from[1]);
      }
      this.from = now;
    };
  }

  static get known() { return "DeviceOrientationEvent" in window && navigator.maxTouchPoints > 0; }

  async start() {
    const ask = DeviceOrientationEvent.requestPermission;
    if (ask && await ask.call(DeviceOrientationEvent) !== "granted") return false;
    this.from = null;
    window.addEventListener("deviceorientation", this.follow);
    return true;
  }

  stop() { window.removeEventListener("deviceorientation", this.follow); }
}

// What turns a view by buttons: what each is called, its sign, what it does.
const TURNS = (round) => [
  ["Turn left", "\u2190", () => round.turn(-2 * STEP, 0)], ["Turn right", "\u2192", () => round.turn(2 * STEP, 0)],
  ["Look up", "\u2191", () => round.turn(0, STEP)], ["Look down", "\u2193", () => round.turn(0, -STEP)],
  ["Nearer", "+", () => round.zoom(1 / 1.25)], ["Farther", "\u2212", () => round.zoom(1.25)],
];

export { Round, Turning, TURNS, turnable };

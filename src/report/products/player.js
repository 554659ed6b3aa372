'use strict';
(function () {
  var data = JSON.parse(document.getElementById('data').textContent);
  var show = data.show, words = data.words, frames = data.frames;
  var byId = function (id) { return document.getElementById(id); };
  var play = byId('play'), step = byId('step'), back = byId('back'), speed = byId('speed'), follow = byId('follow');
  var status = byId('status'), svg = byId('stage').querySelector('svg');
  var ns = 'http://www.w3.org/2000/svg';
  var still = window.matchMedia && window.matchMedia('(prefers-reduced-motion: reduce)').matches;
  var t = 0, running = false, last = 0, chosen = -1;

  function make(name, attributes, parent) {
    var node = document.createElementNS(ns, name);
    Object.keys(attributes).forEach(function (key) { node.setAttribute(key, attributes[key]); });
    parent.appendChild(node);
    return node;
  }
  // Each map has a layer of its own, and nothing is drawn outside it.
  var layers = frames.map(function (f, side) {
    var clip = make('clipPath', { id: 'map' + side }, svg);
    make('rect', { x: f[0], y: f[1], width: f[2] - f[0], height: f[3] - f[1] }, clip);
    return make('g', { 'aria-hidden': 'true', 'clip-path': 'url(#map' + side + ')' }, svg);
  });
  var trails = layers.map(function (layer) { return make('polyline', { fill: 'none', stroke: '#00427a', 'stroke-width': 6 }, layer); });
  var dots = show.insects.map(function () {
    return layers.map(function (layer) {
      var g = make('g', { visibility: 'hidden' }, layer);
      return {
        g: g,
        ring: make('circle', { r: 25, fill: 'none', stroke: '#000', 'stroke-width': 5 }, g),
        dot: make('circle', { r: 14, fill: '#000' }, g),
        cross: make('path', { d: 'M-18-18L18 18M-18 18L18-18', stroke: '#000', 'stroke-width': 7 }, g)
      };
    });
  });

  function place(part, now) {
    for (var i = 0; i < part.pieces.length; i++) {
      var piece = part.pieces[i], end = piece[piece.length - 1];
      if (now < piece[0][0] || now > end[0]) { continue; }
      for (var k = 1; k < piece.length; k++) {
        if (piece[k][0] >= now) {
          var a = piece[k - 1], b = piece[k], share = b[0] > a[0] ? (now - a[0]) / (b[0] - a[0]) : 1;
          return [a[1] + (b[1] - a[1]) * share, a[2] + (b[2] - a[2]) * share];
        }
      }
      return [end[1], end[2]];
    }
    return null;
  }
  function done(part, now) { return part.events.filter(function (e) { return e[0] <= now; }); }
  function eats(events) {
    return events.reduce(function (is, e) {
      if (e[1] === 'landed') { return true; }
      return e[1] === 'smelled' || e[1] === 'gave-up' ? is : false;
    }, false);
  }
  function text(id, value) { var node = byId(id); if (node && node.textContent !== String(value)) { node.textContent = value; } }
  function clock(hours) {
    // The end of the last day belongs to it.
    var day = Math.min(Math.floor(hours / dayHours), data.days - 1), hour = Math.min(hours - day * dayHours, dayHours - 0.01);
    return words['summer.clock'].replace('{d}', data.first_day + day).replace('{h}', Math.floor(hour) + 1);
  }
  var dayHours = data.day_hours;

  function draw() {
    var counts = [0, 1].map(function () { return { smelled: 0, meals: 0, caught: 0, taken: 0 }; });
    show.insects.forEach(function (actor, i) {
      actor.sides.forEach(function (part, side) {
        var events = done(part, t), node = dots[i][side], at = place(part, t);
        var caught = events.some(function (e) { return e[1] === 'caught' || e[1] === 'taken'; });
        events.forEach(function (e) {
          if (e[1] === 'smelled') { counts[side].smelled++; }
          if (e[1] === 'landed') { counts[side].meals++; }
          if (e[1] === 'caught') { counts[side].caught++; }
          if (e[1] === 'taken') { counts[side].taken++; }
        });
        if (caught && part.pieces.length) {
          var piece = part.pieces[part.pieces.length - 1], end = piece[piece.length - 1];
          at = [end[1], end[2]];
        }
        if (!at) { node.g.setAttribute('visibility', 'hidden'); return; }
        node.g.setAttribute('visibility', 'visible');
        node.g.setAttribute('transform', 'translate(' + at[0] + ' ' + at[1] + ')');
        node.ring.setAttribute('visibility', eats(events) || i === chosen ? 'inherit' : 'hidden');
        node.ring.setAttribute('stroke', i === chosen ? '#00427a' : '#000');
        node.ring.setAttribute('r', i === chosen ? 34 : 25);
        node.dot.setAttribute('visibility', caught ? 'hidden' : 'inherit');
        node.dot.setAttribute('fill', chosen >= 0 && i !== chosen ? '#767676' : '#000');
        node.cross.setAttribute('visibility', caught ? 'inherit' : 'hidden');
      });
    });
    [0, 1].forEach(function (side) {
      Object.keys(counts[side]).forEach(function (kind) { text(kind + side, counts[side][kind]); });
      trail(side);
      story(side);
    });
  }
  function trail(side) {
    var points = [];
    if (chosen >= 0) {
      show.insects[chosen].sides[side].pieces.forEach(function (piece) {
        piece.forEach(function (q) { if (q[0] <= t) { points.push(q[1] + ',' + q[2]); } });
      });
    }
    trails[side].setAttribute('points', points.join(' '));
  }
  var told = ['', ''];
  function story(side) {
    var list = byId('story' + side), lines = [];
    if (chosen >= 0) {
      var part = show.insects[chosen].sides[side];
      if (part.pieces.length && part.pieces[0][0][0] <= t) { lines.push(words['summer.came']); }
      done(part, t).forEach(function (e) { lines.push(words['summer.' + e[1]] + ' (' + clock(e[2]) + ')'); });
    }
    if (lines.join('|') === told[side]) { return; }
    told[side] = lines.join('|');
    list.textContent = '';
    lines.forEach(function (line) { var li = document.createElement('li'); li.textContent = line; list.appendChild(li); });
  }
  function say(line) { status.textContent = line; }
  function set(on) {
    running = on;
    play.setAttribute('aria-pressed', on ? 'true' : 'false');
    play.textContent = on ? words['summer.pause'] : words['summer.play'];
    if (on) { last = 0; if (t >= show.length) { t = 0; } window.requestAnimationFrame(frame); }
  }
  function frame(now) {
    if (!running) { return; }
    if (last) { t = Math.min(show.length, t + Math.min(now - last, 100) / 1000 * Number(speed.value)); }
    last = now;
    draw();
    if (t >= show.length) { set(false); say(words['summer.end']); return; }
    window.requestAnimationFrame(frame);
  }
  function onward() { set(false); t = Math.min(show.length, t + 0.5); draw(); }
  function start() { set(false); t = 0; say(''); draw(); }

  show.insects.forEach(function (actor, i) {
    var events = actor.sides[1].events.map(function (e) { return e[1]; });
    var has = function (what) { return events.indexOf(what) >= 0; };
    var key = has('caught') ? 'summer.insect.taken' : has('smelled') && has('landed') ? 'summer.insect.ate' : has('smelled') ? 'summer.insect.smelled' : 'summer.insect';
    var option = document.createElement('option');
    option.value = i;
    option.textContent = words[key].replace('{n}', i + 1);
    follow.appendChild(option);
  });
  play.addEventListener('click', function () { set(!running); });
  step.addEventListener('click', onward);
  back.addEventListener('click', start);
  follow.addEventListener('change', function () {
    chosen = Number(follow.value);
    if (chosen >= 0) {
      var begins = show.insects[chosen].sides.map(function (p) { return p.pieces.length ? p.pieces[0][0][0] : show.length; });
      t = Math.max(0, Math.min(begins[0], begins[1]));
    }
    draw();
  });
  document.addEventListener('keydown', function (event) {
    var name = event.target.tagName;
    if (name === 'SELECT' || event.target.isContentEditable || event.ctrlKey || event.altKey || event.metaKey) { return; }
    if (event.key === ' ' && name !== 'BUTTON' && name !== 'SUMMARY') { event.preventDefault(); set(!running); }
    if (event.key === 'ArrowRight' && event.target.id !== 'stage') { onward(); }
    if (event.key === 'Home') { event.preventDefault(); start(); }
  });
  draw();
  if (still) { say(words['summer.still']); } else { set(true); }
})();

// Everything of the page that cannot be read whole, in words.
() => {
  const found = [];
  const near = 1.5;
  const said = text => text.trim().replace(/\s+/g, ' ').slice(0, 50);
  const name = el => el.tagName.toLowerCase() + (el.id ? '#' + el.id : '') +
    (el.className && el.className.baseVal === undefined ? '.' + [...el.classList].join('.') : '');
  const signed = (el, style) => el.classList.contains('scroll') &&
    (el.tabIndex >= 0) && style.backgroundAttachment.includes('local');
  const readAloudOnly = el => {
    for (let up = el; up; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.clipPath === 'inset(50%)' && up.getBoundingClientRect().width <= 1) return true;
    }
    return false;
  };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    const el = node.parentElement;
    if (!node.data.trim() || el.closest('svg, script, style, option, .visually-hidden, .skip-link')) continue;
    if (!el.checkVisibility({visibilityProperty: true, opacityProperty: true})) continue;
    if (readAloudOnly(el)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const rects = [...range.getClientRects()].filter(r => r.width > 0 && r.height > 0);
    if (!rects.length) continue;
    const left = Math.min(...rects.map(r => r.left)), right = Math.max(...rects.map(r => r.right));
    const cell = el.closest('td, th');
    if (cell && !el.closest('.explain-list, .figure-was')) {
      const box = cell.getBoundingClientRect();
      if (left < box.left - near || right > box.right + near)
        found.push(`outside its cell: ${name(cell)} ${said(node.data)}`);
    }
    let held = false;
    for (let up = el; up && up !== document.documentElement; up = up.parentElement) {
      const style = getComputedStyle(up);
      if (style.overflowX === 'visible' || style.display === 'inline') continue;
      if (style.textOverflow === 'ellipsis' || style.webkitLineClamp !== 'none') { held = true; break; }
      const box = up.getBoundingClientRect();
      if (left >= box.left - near && right <= box.right + near) continue;
      if (style.overflowX === 'hidden' || style.overflowX === 'clip') {
        found.push(`cut off by ${name(up)}: ${said(node.data)}`); held = true; break;
      }
      if (!signed(up, style)) found.push(`scrolls unseen in ${name(up)}: ${said(node.data)}`);
      held = true;
      break;
    }
    if (!held && (right > innerWidth + near || left < -near))
      found.push(`beyond the edge: ${name(el)} ${said(node.data)}`);
  }
  for (const box of document.querySelectorAll('input:not([type]), input[type=text], input[type=number], input[type=email]')) {
    if (box.checkVisibility() && box.scrollWidth > box.clientWidth + 1)
      found.push(`longer than its field: ${name(box)} ${box.value}`);
  }
  const small = [...document.querySelectorAll('body *')].filter(el => el.checkVisibility() &&
    !el.closest('svg, .visually-hidden') &&
    [...el.childNodes].some(n => n.nodeType === 3 && n.data.trim()) && parseFloat(getComputedStyle(el).fontSize) < 12);
  for (const el of small) found.push(`smaller than 12 px: ${name(el)} ${said(el.textContent)}`);
  if (document.documentElement.scrollWidth > innerWidth) found.push('the page scrolls sideways');
  return [...new Set(found)];
}

// Journeys through a real browser and the real service: the first is a customer's, the second meets bad data.
// Needs the service binary (LANDGAP) and Chromium (CHROMIUM, default /usr/bin/chromium).
import assert from 'node:assert/strict';
import { spawn } from 'node:child_process';
import { mkdtempSync, writeFileSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, before, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const binary = process.env.LANDGAP ?? path.join(root, 'target/debug/landgap');
const demo = path.join(root, 'corpus/tarn-row');
const faults = path.join(demo, 'buoy-logger-faults');

let service;
let address;
let browser;

before(async () => {
  service = spawn(binary, ['serve', '--listen', '127.0.0.1:0', '--demo', demo, '--data', mkdtempSync(path.join(tmpdir(), 'landgap-data-'))], { stdio: ['ignore', 'pipe', 'inherit'] });
  address = await new Promise((resolve, reject) => {
    service.once('error', reject);
    service.once('exit', (code) => reject(new Error(`the service ended with ${code}`)));
    service.stdout.on('data', (text) => {
      const found = /http:\/\/127\.0\.0\.1:\d+/.exec(String(text));
      if (found) resolve(found[0]);
    });
  });
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
});

after(async () => {
  await browser?.close();
  service?.kill();
});

/** A page that fails the test on any error of its own. */
async function open() {
  const page = await browser.newPage({ viewport: { width: 1280, height: 900 } });
  const errors = [];
  page.on('pageerror', (error) => errors.push(error.message));
  await page.goto(address);
  return { page, errors };
}

const files = () => readdirSync(faults).filter((name) => name !== 'truth.toml').map((name) => path.join(faults, name));

test('files dropped become facts, a table of files, a picture and a form that prints', async () => {
  const { page, errors } = await open();
  await page.locator('input[type=file]').first().setInputFiles(files());
  await page.getByRole('heading', { name: 'Engineering queries' }).waitFor({ timeout: 60_000 });
  const text = await page.locator('main, body').first().innerText();
  assert.match(text, /70(\.0+)? × 45/);
  for (const expected of ['narrows to 0.080 mm', 'The ring of copper round a hole', 'buoy-logger-copper-1.gbr', 'responsible engineer']) {
    assert.ok(text.includes(expected), `the page does not show "${expected}"`);
  }
  // One figure for each query that has a measured place, drawn by the service.
  const marks = await page.locator('[data-query]').count();
  assert.ok(marks >= 8, `${marks} numbered marks on the board`);
  await page.reload();
  await page.getByRole('heading', { name: 'Engineering queries' }).waitFor({ timeout: 30_000 });

  const check = page.url().split('/').pop();
  for (const format of ['A4', 'Letter']) {
    const form = await browser.newPage();
    await form.goto(`${address}/api/checks/${check}/form`);
    const pdf = await form.pdf({ format, preferCSSPageSize: false });
    assert.ok(pdf.length > 20_000, `the form as ${format} has ${pdf.length} bytes`);
    assert.ok((await form.locator('body').innerText()).includes('0.080 mm'));
    await form.close();
  }
  assert.deepEqual(errors, []);
  await page.close();
});

test('the demo of a sound board says that nothing needs an answer', async () => {
  const { page, errors } = await open();
  await page.getByRole('button', { name: 'Buoy logger', exact: true }).click();
  await page.getByText(/nothing here needs an answer/i).first().waitFor({ timeout: 60_000 });
  assert.deepEqual(errors, []);
  await page.close();
});

test('a text file named .gbr and a broken zip are answered in words, and the page goes on', async () => {
  const { page, errors } = await open();
  const folder = mkdtempSync(path.join(tmpdir(), 'landgap-'));
  const zip = path.join(folder, 'board.zip');
  writeFileSync(zip, 'PK\u0003\u0004 this is no archive');
  await page.locator('input[type=file]').first().setInputFiles(zip);
  await page.getByText(/board\.zip/).first().waitFor({ timeout: 30_000 });

  await page.goto(address);
  const note = path.join(folder, 'top.gbr');
  writeFileSync(note, 'Dear shop, please build the board as last time.\n');
  await page.locator('input[type=file]').first().setInputFiles(note);
  await page.getByText(/top\.gbr/).first().waitFor({ timeout: 30_000 });
  assert.deepEqual(errors, []);
  await page.close();
});

import assert from "node:assert/strict";
import { afterEach, mock, test } from "node:test";
import * as client from "../../../service/web/static/api/client.js";
import { ServiceError } from "../../../service/web/static/api/service_error.js";
import { words } from "../../../service/web/static/text/words.js";
import answers from "../answers.json" with { type: "json" };

const SCORE = { name: "air.xml", data: new TextEncoder().encode("<score-partwise/>") };
const LAYOUT = { width: 1000, height: 0, margin: 0 };
const PLAN = { type: "plan", plan: answers.plan };
const REVIEW = { type: "review", review: answers.review };

afterEach(() => mock.restoreAll());

/** Answer requests without a network. @param {() => Response} answer */
const serve = (answer) => mock.method(globalThis, "fetch", async () => answer());

/** @param {unknown[]} values */
const lines = (values) => new Response(values.map((value) => `${JSON.stringify(value)}\n`).join(""));

/** View a part, and list what comes in order. @param {AbortSignal} [signal] */
async function view(signal) {
  /** @type {string[]} */
  const events = [];
  await client.viewPart(SCORE, {}, LAYOUT, {
    plan: (plan) => events.push(`plan of ${plan.part}`),
    page: (picture) => events.push(picture),
    review: (review) => events.push(`review with ${review.proposals.length} proposals`),
    signal,
  });
  return events;
}

test("the first page comes first, then the plan, the other pages, and the review", async () => {
  const page = (/** @type {number} */ number) => ({ type: "page", picture: `<svg id="${number}"/>` });
  serve(() => lines([page(1), PLAN, page(2), REVIEW]));
  const count = answers.review.parts[0].proposals.length;
  assert.deepEqual(await view(), ['<svg id="1"/>', "plan of P1", '<svg id="2"/>', `review with ${count} proposals`]);
});

test("each page says how much of the music is drawn", async () => {
  const page = (/** @type {number} */ piece) => ({ type: "page", piece, pieces: 2, picture: "<svg/>" });
  serve(() => lines([page(1), page(1), PLAN, page(2), REVIEW]));
  /** @type {number[]} */
  const parts = [];
  await client.viewPart(SCORE, {}, LAYOUT, { page: (_, done) => parts.push(done) });
  assert.deepEqual(parts, [0.5, 0.5, 1]);
});

test("an answer that stops before the review is an error", async () => {
  serve(() => lines([PLAN]));
  await assert.rejects(view(), { message: words.faults.connection });
});

test("a fault in the middle of an answer becomes an error with the words of the service", async () => {
  serve(() =>
    lines([PLAN, { type: "fault", fault: { detail: "Too long.", where: "bar 9", advice: "Cut it.", code: "late" } }]),
  );
  await assert.rejects(view(), (error) => {
    assert.ok(error instanceof ServiceError);
    assert.equal(error.message, "Too long. Where: bar 9. Cut it.");
    assert.equal(error.code, "late");
    return true;
  });
});

test("a problem becomes an error with the words of the service", async () => {
  const { detail, where, advice, code } = answers.problem;
  serve(() => new Response(JSON.stringify(answers.problem), { status: 400 }));
  await assert.rejects(client.inspectScore(SCORE), { message: `${detail} Where: ${where}. ${advice}`, code });
});

test("an error that is no problem shows its status", async () => {
  serve(() => new Response("<html>", { status: 502, statusText: "Bad Gateway" }));
  await assert.rejects(client.inspectScore(SCORE), { message: "502 Bad Gateway" });
});

test("no connection is an error of its own; a request that the page stops stays what it is", async () => {
  mock.method(globalThis, "fetch", async () => {
    throw new TypeError("Failed to fetch");
  });
  await assert.rejects(client.listSamples(), { message: words.faults.connection });
  mock.restoreAll();
  mock.method(globalThis, "fetch", async () => {
    throw new DOMException("stopped", "AbortError");
  });
  await assert.rejects(view(AbortSignal.abort()), { name: "AbortError" });
});

test("a request sends the score under its name, options and layout as JSON", async () => {
  const request = serve(() => lines([PLAN, REVIEW]));
  await client.viewPart(SCORE, { level: "all" }, LAYOUT, { page: () => {} });
  const [path, init] = /** @type {[string, RequestInit]} */ (/** @type {unknown} */ (request.mock.calls[0].arguments));
  const body = /** @type {FormData} */ (init.body);
  assert.equal(path, "/page/view");
  assert.equal(init.method, "POST");
  assert.deepEqual(JSON.parse(String(body.get("options"))), { level: "all" });
  assert.deepEqual(JSON.parse(String(body.get("layout"))), LAYOUT);
  const file = /** @type {File} */ (body.get("score"));
  assert.equal(file.name, "air.xml");
  assert.deepEqual(new Uint8Array(await file.arrayBuffer()), SCORE.data);
});

test("remarks go along if there are any", async () => {
  const request = serve(() => lines([PLAN, REVIEW]));
  const sent = (/** @type {number} */ call) => {
    const [, init] = /** @type {[string, RequestInit]} */ (/** @type {unknown} */ (request.mock.calls[call].arguments));
    return /** @type {FormData} */ (init.body).get("remarks");
  };
  await client.viewPart(SCORE, {}, LAYOUT, { page: () => {}, remarks: { 4: "sing" } });
  assert.equal(sent(0), '{"4":"sing"}');
  await client.viewPart(SCORE, {}, LAYOUT, { page: () => {}, remarks: {} });
  assert.equal(sent(1), null);
});

test("a sample keeps its name, escaped in the address", async () => {
  const request = serve(() => new Response("<score/>"));
  const score = await client.getSample("two oars.xml");
  assert.equal(request.mock.calls[0].arguments[0], "/page/samples/two%20oars.xml");
  assert.equal(score.sample, "two oars.xml");
  assert.equal(new TextDecoder().decode(score.data), "<score/>");
});

test("each request has an address of its own", async () => {
  const request = serve(() => new Response("{}"));
  await client.listSamples();
  await client.compareBars(SCORE, {}, LAYOUT);
  await client.annotateScore(SCORE, {});
  await client.practiceFile(SCORE, {}, new URLSearchParams({ format: "midi" }));
  await client.practicePage(SCORE, {}, new URLSearchParams({ format: "page", paper: "letter" }));
  await client.reportText(SCORE, {});
  await client.chart({ position: "3", notes: "2:D5,1:A5" });
  assert.deepEqual(
    request.mock.calls.map(({ arguments: [path] }) => path),
    [
      "/page/samples",
      "/page/compare",
      "/annotate",
      "/practice?format=midi",
      "/practice?format=page&paper=letter",
      "/page/report",
      "/chart.svg?position=3&notes=2%3AD5%2C1%3AA5",
    ],
  );
});

import assert from "node:assert/strict";
import { test } from "node:test";
import { isLocal } from "../../../service/web/static/text/addresses.js";

test("loopback addresses and localhost are local, others are not", () => {
  for (const host of ["localhost", "music.localhost", "127.0.0.1", "127.8.0.1", "[::1]"])
    assert.ok(isLocal(host), host);
  for (const host of ["handframe.example", "192.168.0.7", "127.0.0.1.example", "10.0.0.1"])
    assert.ok(!isLocal(host), host);
});

"""A headless Chromium, driven over the WebDriver protocol (W3C) with nothing but the standard library."""

import base64
import json
import shutil
import subprocess
import time
import urllib.error
import urllib.request

# What is too wide, too small for a finger, or too faint on a page, with everything opened that can be.
LOOK = """
document.querySelectorAll("details").forEach((one) => { one.open = true; });
const shown = (one) => { const box = one.getBoundingClientRect(); return box.width > 0 && box.height > 0; };
const small = Array.from(document.querySelectorAll("button, select, input, textarea, summary")).filter(shown).filter((one) => {
  const box = one.getBoundingClientRect();
  return box.width < 47.9 || box.height < 47.9;
}).map((one) => one.outerHTML.slice(0, 80));
const parts = (colour) => (colour.match(/[0-9.]+/g) || []).map(Number);
const luminance = (colour) => parts(colour).slice(0, 3).map((c) => c / 255).map((c) => (c <= 0.04045 ? c / 12.92 : Math.pow((c + 0.055) / 1.055, 2.4)))
  .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
const ground = (one) => {
  for (let at = one; at; at = at.parentElement) {
    const colour = getComputedStyle(at).backgroundColor, all = parts(colour);
    if (all.length === 3 || all[3] > 0.99) return colour;
  }
  return "rgb(255, 255, 255)";
};
const faint = Array.from(document.querySelectorAll("body *")).filter((one) => !one.closest("svg, script") && shown(one) &&
  Array.from(one.childNodes).some((node) => node.nodeType === 3 && node.textContent.trim())).map((one) => {
  const a = luminance(getComputedStyle(one).color), b = luminance(ground(one));
  return [(Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05), one.textContent.slice(0, 40)];
}).filter(([ratio]) => ratio < 7);
return { wide: document.scrollingElement.scrollWidth, small, faint };
"""


class Browser:
    """One session. `downloads` is where files go; `script=False` turns scripts off in every page."""

    def __init__(self, downloads, size=(360, 740), script=True, dark=False):
        self.driver = subprocess.Popen(
            ["chromedriver", "--port=0"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
        )
        self.base = None
        for line in self.driver.stdout:
            if "started successfully on port" in line:
                self.base = f"http://127.0.0.1:{line.strip().rstrip('.').split()[-1]}"
                break
        options = {
            "binary": shutil.which("chromium"),
            "args": ["--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars"],
            "prefs": {
                "download.default_directory": str(downloads),
                "profile.managed_default_content_settings.javascript": 1 if script else 2,
            },
        }
        always = {"browserName": "chrome", "goog:chromeOptions": options, "goog:loggingPrefs": {"browser": "ALL"}}
        answer = self.ask("POST", "/session", {"capabilities": {"alwaysMatch": always}})
        self.session = f"/session/{answer['sessionId']}"
        self.resize(*size)
        self.devtools("Emulation.setEmulatedMedia", features=[
            {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        ])
        self.devtools("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(downloads))

    def ask(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.base + path, data, {"Content-Type": "application/json"}, method=method)
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            raise AssertionError(error.read().decode()[:2000]) from error

    def devtools(self, cmd, **params):
        return self.ask("POST", f"{self.session}/goog/cdp/execute", {"cmd": cmd, "params": params})

    def resize(self, width, height):
        self.devtools("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 800)

    def open(self, url):
        self.ask("POST", f"{self.session}/url", {"url": url})

    def run(self, script, *args):
        return self.ask("POST", f"{self.session}/execute/sync", {"script": script, "args": list(args)})

    def find(self, xpath):
        found = self.ask("POST", f"{self.session}/element", {"using": "xpath", "value": xpath})
        return f"{self.session}/element/{next(iter(found.values()))}"

    def click(self, xpath):
        """A click, with what is clicked in the middle of the view, where the cautions at the foot do not lie over it."""
        self.run("document.evaluate(arguments[0], document, null, 9, null).singleNodeValue.scrollIntoView({block: 'center'})", xpath)
        self.ask("POST", self.find(xpath) + "/click", {})

    def press(self, words):
        self.click(f"//button[normalize-space()={quoted(words)}]")

    def type(self, name, text):
        element = self.find(f"//*[@name={quoted(name)}]")
        self.ask("POST", element + "/clear", {})
        self.ask("POST", element + "/value", {"text": text})

    def choose(self, name, words):
        self.click(f"//select[@name={quoted(name)}]/option[contains(.,{quoted(words)})]")

    def tap(self, x, y):
        """A finger on a place of the view."""
        pause = {"type": "pause", "duration": 30}
        moves = [{"type": "pointerMove", "x": int(x), "y": int(y)}, {"type": "pointerDown"}, pause, {"type": "pointerUp"}]
        finger = {"type": "pointer", "id": "finger", "parameters": {"pointerType": "touch"}, "actions": moves}
        self.ask("POST", f"{self.session}/actions", {"actions": [finger]})

    def text(self, xpath):
        return self.ask("GET", self.find(xpath) + "/text")

    def picture(self, path):
        path.write_bytes(base64.b64decode(self.ask("GET", f"{self.session}/screenshot")))

    def complaints(self):
        """What the page's console said, but for the icon that browsers ask for unasked."""
        return [entry["message"] for entry in self.ask("POST", f"{self.session}/se/log", {"type": "browser"})]

    def close(self):
        try:
            self.ask("DELETE", self.session)
        finally:
            self.driver.terminate()
            self.driver.wait()


def quoted(text):
    """A text as XPath writes it."""
    return f'"{text}"' if '"' not in text else "concat(" + ",'\"',".join(f'"{part}"' for part in text.split('"')) + ")"


def wait_for(what, seconds=10):
    """The first true answer of a question that is asked until it has one."""
    end = time.time() + seconds
    while time.time() < end:
        found = what()
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError("waited in vain")

"""What `streamlit run app.py` does as it starts, by the settings in .streamlit/."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]

# Streamlit tells the page's address at start; for a page open to every network it asks a server on the internet.
START = """
import sys
from streamlit import config, net_util
net_util.get_external_ip = lambda: sys.exit("asked the internet for this machine's address")
config.get_config_options(force_reparse=True)
from streamlit.web import bootstrap
bootstrap._print_url(is_running_hello=False)
"""


def test_the_page_is_for_this_machine_only_and_asks_nobody() -> None:
    started = subprocess.run([sys.executable, "-c", START], cwd=ROOT, capture_output=True, text=True, check=False)
    assert started.returncode == 0, started.stderr
    assert "http://127.0.0.1:8501" in started.stdout
    assert "Network URL" not in started.stdout


# Where a system library is missing the page says so in a line: what it needs for that must not need the library.
SAYS_WHAT_IS_MISSING = """
import ast, sys
tree = ast.parse(open("app.py").read())
tree.body = [node for node in tree.body if isinstance(node, (ast.Import, ast.ImportFrom))]
exec(compile(tree, "app.py", "exec"))
print([name for name in ("cv2", "scipy", "sqlalchemy") if name in sys.modules])
"""


def test_the_page_can_say_what_is_missing_before_it_needs_it() -> None:
    command = [sys.executable, "-c", SAYS_WHAT_IS_MISSING]
    told = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"

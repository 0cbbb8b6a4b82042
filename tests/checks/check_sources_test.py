"""Plants one violation of every rule of check_sources.py and expects it to be found."""
import pathlib
import tempfile
import unittest

import check_sources

CLEAN = "// What it is.\n#pragma once\n"


class CheckSourcesTest(unittest.TestCase):
    def found(self, name, text):
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / name
            path.parent.mkdir(parents=True)
            path.write_text(text, encoding="utf-8")
            return list(check_sources.violations(pathlib.Path(folder)))

    def test_a_clean_header_has_no_violation(self):
        self.assertEqual(self.found("core/a.h", CLEAN), [])

    def test_dependency_outside_its_home(self):
        self.assertEqual(
            self.found("session/a.h", CLEAN + "#include <boost/asio.hpp>\n"),
            ["session/a.h:3: #include <boost/asio.hpp> belongs only in: web/, tools/daemon/control_client.cc"])
        self.assertEqual(self.found("web/a.h", CLEAN + "#include <boost/asio.hpp>\n"), [])

    def test_relative_include(self):
        self.assertEqual(self.found("core/a.h", CLEAN + '#include "../session/x.h"\n'),
                         ["core/a.h:3: write the include path from the repository root"])

    def test_long_file(self):
        self.assertEqual(self.found("core/a.h", CLEAN + "\n" * 600),
                         ["core/a.h:1: 602 lines; split a file before it reaches 600"])

    def test_long_function(self):
        body = "  f();\n" * 59
        self.assertEqual(self.found("core/a.cc", "int F() {\n" + body + "}\n"),
                         ["core/a.cc:1: a function of 61 lines; split one before it reaches 60"])
        self.assertEqual(self.found("core/a.cc", "int F(int a,\n      int b) {\n" + body + "}\n"),
                         ["core/a.cc:2: a function of 61 lines; split one before it reaches 60"])
        self.assertEqual(self.found("core/a.cc", "int F() {\n" + body[:-7] + "}\n"), [])
        self.assertEqual(self.found("core/a.h", CLEAN + "struct A {\n" + body + "};\n"), [])

    def test_header_without_guard_or_comment(self):
        self.assertEqual(len(self.found("core/a.h", "int x;\n")), 2)

    def test_main_with_logic(self):
        self.assertEqual(self.found("tools/main.cc", "int main() { f(); g(); }\n"),
                         ["tools/main.cc:1: main is one statement"])

    def test_promise_of_safety(self):
        self.assertEqual(self.found("output/a.cc", 'auto s = "The pack is safe to charge";\n'),
                         ["output/a.cc:1: never tell people that something is safe"])

    def test_path_of_one_machine(self):
        self.assertEqual(self.found("core/a.cc", 'auto p = "/home/somebody/x";\n'),
                         ["core/a.cc:1: absolute path of one machine"])


if __name__ == "__main__":
    unittest.main()

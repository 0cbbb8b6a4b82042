"""Plants a file that is not formatted and expects it to be found."""
import pathlib
import shutil
import tempfile
import unittest

import check_format


class CheckFormatTest(unittest.TestCase):
    def test_only_what_is_not_formatted_is_found(self):
        with tempfile.TemporaryDirectory() as folder:
            root = pathlib.Path(folder)
            (root / ".clang-format").write_text("BasedOnStyle: Google\n", encoding="utf-8")
            (root / "core").mkdir()
            (root / "core" / "good.cc").write_text("int a = 1;\n", encoding="utf-8")
            (root / "core" / "bad.h").write_text("int  a=1;\nint  b=2;\n", encoding="utf-8")
            found = list(check_format.violations(root, shutil.which("clang-format")))
        self.assertEqual(found, ["core/bad.h"])


if __name__ == "__main__":
    unittest.main()

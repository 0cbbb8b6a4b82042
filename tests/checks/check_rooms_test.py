"""Plants one violation of every rule of check_rooms.py and expects it to be found."""
import pathlib
import tempfile
import unittest

import check_rooms


class CheckRoomsTest(unittest.TestCase):
    def found(self, files):
        with tempfile.TemporaryDirectory() as folder:
            for name, text in files.items():
                path = pathlib.Path(folder) / name
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8")
            return list(check_rooms.violations(pathlib.Path(folder)))

    def test_one_way_is_fine(self):
        self.assertEqual(self.found({"core/a/a.cc": '#include "core/b/b.h"\n', "core/b/b.h": ""}), [])

    def test_two_folders_that_include_each_other(self):
        self.assertEqual(
            self.found({"core/a/a.cc": '#include "core/b/b.h"\n', "core/b/b.h": '#include "core/a/c.h"\n'}),
            ["core/a and core/b include each other: core/a/a.cc includes core/b/b.h; "
             "core/b/b.h includes core/a/c.h"])

    def test_a_folder_above_counts_as_another(self):
        self.assertEqual(
            len(self.found({"core/a.cc": '#include "core/b/b.h"\n', "core/b/c.cc": '#include "core/a.h"\n'})), 1)

    def test_a_room_that_is_full(self):
        files = {f"core/a/m{i}{ending}": "" for i in range(15) for ending in (".h", ".cc")}
        self.assertEqual(self.found(files), [])
        files["core/a/one_more.h"] = ""
        self.assertEqual(self.found(files),
                         ["core/a: 16 modules; a room holds at most 15, make another"])

    def test_a_module_may_include_its_own_header(self):
        self.assertEqual(self.found({"core/a/a.h": "", "core/a/a.cc": '#include "core/a/a.h"\n'}), [])

    def test_modules_in_a_circle(self):
        self.assertEqual(
            self.found({"core/a/a.h": "", "core/a/a.cc": '#include "core/a/b.h"\n',
                        "core/a/b.h": '#include "core/a/c.h"\n', "core/a/c.h": '#include "core/a/a.h"\n'}),
            ["modules in a circle, put what they share into a header of its own: "
             "core/a/a -> core/a/b -> core/a/c -> core/a/a"])

    def test_two_ways_to_one_module_are_no_circle(self):
        self.assertEqual(
            self.found({"core/a/a.h": '#include "core/a/b.h"\n#include "core/a/c.h"\n',
                        "core/a/b.h": '#include "core/a/d.h"\n', "core/a/c.h": '#include "core/a/d.h"\n',
                        "core/a/d.h": ""}),
            [])

    def test_generated_headers_do_not_count(self):
        self.assertEqual(
            self.found({"session/file/a.h": '#include "session/s.pb.h"\n', "session/b.cc": '#include "session/file/a.h"\n'}),
            [])


if __name__ == "__main__":
    unittest.main()

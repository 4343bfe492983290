# SPDX-License-Identifier: MIT
# Writes the patch files named on the command line as a C table of names and texts.
function stem(path) { sub(/.*\//, "", path); sub(/\.ini$/, "", path); return path }
BEGIN {
    print "/* Generated from patches/ by src/sound/builtin.awk. */"
    print "#include <stddef.h>"
    print "#include <holdfast/builtin.h>"
    print "const struct hf_builtin hf_builtin_patches[] = {"
}
FNR == 1 { if (NR > 1) print "    },"; printf "    {\"%s\",\n", stem(FILENAME) }
{ gsub(/\\/, "\\\\"); gsub(/"/, "\\\""); printf "     \"%s\\n\"\n", $0 }
END { if (NR) print "    },"; print "    {NULL, NULL},\n};" }

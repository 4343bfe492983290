/* SPDX-License-Identifier: MIT */
/* The instruments that ship. Their measures are common ones, from memory: a player who needs the
 * hand exact measures the own instrument and writes a file. */
#include <holdfast/instrumentfile.h>

#include <string.h>

const struct hf_instrument hf_instruments[] = {
    {"guitar", "[instrument]\n"
               "about = six strings in standard tuning\n"
               "strings = E2 A2 D3 G3 B3 E4\n"
               "frets = 19\n"
               "scale_mm = 650\n"
               "nut_spacing_mm = 8.5\n"
               "bridge_spacing_mm = 11.5\n"},
    {"narrow-guitar", "[instrument]\n"
                      "about = six strings in standard tuning on a narrow neck\n"
                      "strings = E2 A2 D3 G3 B3 E4\n"
                      "frets = 22\n"
                      "scale_mm = 648\n"
                      "nut_spacing_mm = 7.0\n"
                      "bridge_spacing_mm = 10.5\n"},
    {"dropped-d", "[instrument]\n"
                  "about = six strings, the lowest tuned down to D\n"
                  "strings = D2 A2 D3 G3 B3 E4\n"
                  "frets = 19\n"
                  "scale_mm = 650\n"
                  "nut_spacing_mm = 8.5\n"
                  "bridge_spacing_mm = 11.5\n"},
    {"seven-string", "[instrument]\n"
                     "about = seven strings on a narrow neck\n"
                     "strings = B1 E2 A2 D3 G3 B3 E4\n"
                     "frets = 24\n"
                     "scale_mm = 648\n"
                     "nut_spacing_mm = 7.0\n"
                     "bridge_spacing_mm = 10.5\n"},
    {"bass", "[instrument]\n"
             "about = four-string bass\n"
             "strings = E1 A1 D2 G2\n"
             "frets = 20\n"
             "scale_mm = 864\n"
             "nut_spacing_mm = 10\n"
             "bridge_spacing_mm = 19\n"},
    {"fourths", "[instrument]\n"
                "about = six strings, all tuned in fourths\n"
                "strings = E2 A2 D3 G3 C4 F4\n"
                "frets = 19\n"
                "scale_mm = 650\n"
                "nut_spacing_mm = 8.5\n"
                "bridge_spacing_mm = 11.5\n"},
    {"ukulele", "[instrument]\n"
                "about = four strings, the first tuned high\n"
                "strings = G4 C4 E4 A4\n"
                "frets = 12\n"
                "scale_mm = 345\n"
                "nut_spacing_mm = 9\n"
                "bridge_spacing_mm = 11\n"},
    {NULL, NULL},
};

const char *hf_instrumentfile_find_builtin(const char *name)
{
    for (const struct hf_instrument *each = hf_instruments; each->name; each++)
        if (strcmp(each->name, name) == 0)
            return each->text;
    return NULL;
}

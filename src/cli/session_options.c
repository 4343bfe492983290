/* SPDX-License-Identifier: MIT */
/* What the options of a session are called, take and do; where they are read is session.c. */
#include "session.h"

const struct hf_cli_option hf_cli_session_options[] = {
    {"held", 0, "NOTES",
     "the notes that stay; with octaves or frets exactly that\n"
     "voicing (one of the four augmented triads: by seed, in play\n"
     "the least practised)",
     HF_OPT_HELD + 1},
    {"from", 0, "NOTES",
     "a chord from a score: its augmented triad is held exactly as\n"
     "it lies there, its own 016 comes first, in its own voicing",
     HF_OPT_FROM + 1},
    {"split", 0, "N", "which halves of --from, where it has several", CODE_SPLIT},
    {"result", 0, "CLASS", "with --from: the class that its halves make", CODE_RESULT},
    {"to", 0, "NOTES", "with --from: cue a shortest path to this chord of the same class", CODE_TO},
    {"share", 0, "N",
     "with --to: neighbours share an augmented triad (3), at least\n"
     "four notes (4) or five (5)",
     CODE_SHARE},
    {"as-written", 0, NULL, "octaves are guitar notation: they sound an octave lower",
     CODE_AS_WRITTEN},
    {"added", 0, "CLASS", "the class that is added (016)", HF_OPT_ADDED + 1},
    {"cue", 0, "WAY",
     "how a cue goes:\n"
     " lead: named and sounded at once\n"
     " confirm: named at once, sounded later (default)\n"
     " silent: named, never sounded\n"
     " ear: sounded, named later\n"
     " gap: only the perfect interval is named, the rest later\n"
     " reverse: an 016 is held; which augmented triad completes it?\n"
     "(later is two thirds of the way)",
     HF_OPT_CUE + 1},
    {"order", 0, "WAY",
     "shuffle (default), near or far by movement, ring, listed as\n"
     "complete lists them, grip: one kind through its positions;\n"
     "weak: what the journals' marks leave in doubt more often\n"
     "(play only);\n"
     "tour: the shortest walk over all grips (with --hand)",
     HF_OPT_ORDER + 1},
    {"rounds", 0, "N", "length in rounds; one is each completion once\n(2; ear: 4)",
     HF_OPT_ROUNDS + 1},
    {"for", 0, "SPAN", "length in time, lead-in included; of both the shorter", HF_OPT_FOR + 1},
    {"every", 0, "SPAN",
     "length of a cue: 25s (default), 1.5m, 8beats; wait: you say\n"
     "when (play only)",
     HF_OPT_EVERY + 1},
    {"breathe", 0, "LONG..SHORT",
     "40s..15s: a cue lasts longer after a miss and otherwise a\n"
     "little shorter each time, from --every (LONG) on",
     HF_OPT_BREATHE + 1},
    {"tempo", 0, "BPM", "beats a minute, for lengths in beats", HF_OPT_TEMPO + 1},
    {"tick", 0, "WAY", "off (default) or on: the beat is heard while a cue runs", HF_OPT_TICK + 1},
    {"meter", 0, "N", "beats counted in before the first cue, in beats (4; 0: none)",
     HF_OPT_METER + 1},
    {"lead-in", 0, "SPAN", "the held notes alone before the first cue (10s)", HF_OPT_LEAD_IN + 1},
    {"register", 0, "WHERE",
     "above (default), through, below, all in turn by round, or\n"
     "LOW:HIGH as in C4:C6",
     HF_OPT_REGISTER + 1},
    {"kind", 0, "N",
     "warmup: which kind of completions, 1 or 2 of the 016's (play:\n"
     "each day the next)",
     HF_OPT_KIND + 1},
    {"day", 0, "DATE", "warmup: whose turn it is, as 2026-11-25 (play: today)", HF_OPT_DAY + 1},
    {"voicing", 0, "WAY", "any (default), close, open, or widening from round to round",
     HF_OPT_VOICING + 1},
    {"hand", 0, "NAME",
     "give each cue a shape on this instrument (guitar, bass, ...,\n"
     "or a file), or keep it within a hand at the keys: keys",
     HF_OPT_HAND + 1},
    {"hold", 0, "hand", "the held notes are in the same hand", HF_OPT_HOLD + 1},
    {"grip", 0, "WAY",
     "with --hold hand: free (default) takes the held notes anew\n"
     "where a completion needs it; fixed leaves such ones out",
     HF_OPT_GRIP + 1},
    {"reach", 0, "MM", "the longest reach of the hand, 1 to 1000 (the instrument's)",
     HF_OPT_REACH + 1},
    {"leap", 0, "MM", "the farthest the hand moves from cue to cue (any way)", HF_OPT_LEAP + 1},
    {"span", 0, "N", "with --hand keys: white keys in a hand, 2 to 15 (9)", HF_OPT_SPAN + 1},
    {"break-every", 0, "SPAN", "sound after which a break is suggested (25m), or off (play only)",
     HF_OPT_BREAK_EVERY + 1},
    {"level", 0, "N",
     "ear: 1 which kind, 2 which position in it, 3 which of all,\n"
     "4 in free registers, 5 all notes at once, 6 with the held\n"
     "notes silent; N stays, N+ begins there and moves (1+)",
     HF_OPT_LEVEL + 1},
    {"near-miss", 0, NULL, "ear: every second sound is none of the completions, but nearly",
     HF_OPT_NEAR_MISS + 1},
    {"unfold", 0, "CLASSES",
     "after each cue, the classes of three notes in the chord one at\n"
     "a time: all, tetrachords (of four), or a list as in 3-5,3-11",
     HF_OPT_UNFOLD + 1},
    {"step", 0, "SPAN", "with --unfold: length of each class, 1s to 1h (8s)", HF_OPT_STEP + 1},
    {"keep-registers", 0, NULL, "with --unfold: each note sounds where the chord has it",
     HF_OPT_KEEP_REGISTERS + 1},
    {"support", 0, "WAY",
     "full (default), or fading: the drone gets softer, then sounds\n"
     "only at the start of a cue, then not at all",
     HF_OPT_SUPPORT + 1},
    {"view", 0, "WAY",
     "sight: letters (default), or frame: as a grip on the guitar\n"
     "or on --hand INSTRUMENT",
     HF_OPT_VIEW + 1},
    {"chords", 0, "FILE", "sight: chords of your own, the six notes of one a line",
     HF_OPT_CHORDS + 1},
    {"drone", 0, "WAY",
     "sustained (default); struck: the held notes anew every\n"
     "--restrike SPAN; off",
     HF_OPT_DRONE + 1},
    {"restrike", 0, "SPAN", "0.5s to 60s between strikes of a struck drone (8s)",
     HF_OPT_RESTRIKE + 1},
    {"spread", 0, "WAY",
     "close (default) or wide: held notes given without octaves\n"
     "spread over more than one, which is easier on the ear",
     HF_OPT_SPREAD + 1},
    {"patch", 0, "NAME",
     "timbre of the held notes, or a file (stopped-pipe; struck\n"
     "drone: felt-hammer)",
     HF_OPT_PATCH + 1},
    {"cue-patch", 0, "NAME", "timbre of the added notes, or a file (plucked-nylon)",
     HF_OPT_CUE_PATCH + 1},
    {"names", 0, "WAY",
     "how notes are named: sharps, flats, numbers or german (in hunt\nthey are typed so too)",
     HF_OPT_NAMES + 1},
    {"speak", 0, NULL, "say the names too, before the notes sound", CODE_SPEAK},
    {"speak-only", 0, NULL,
     "say all that is to be known: what to do, names, marks, breaks;\n"
     "no screen is needed",
     CODE_SPEAK_ONLY},
    {"voice", 0, "NAME", "who speaks: awb, kal, rms (default) or slt", HF_OPT_VOICE + 1},
    {"a4", 0, "HZ", "concert pitch, 380 to 480 (440)", HF_OPT_A4 + 1},
    {"tuning", 0, "WAY",
     "equal (default), or pure: the thirds on both sides of the\n"
     "lowest note of an augmented triad pure (frets are equal)",
     HF_OPT_TUNING + 1},
    {"room", 0, "DB", "more or less reverberation, -60 (none) to 6 (0)", HF_OPT_ROOM + 1},
    {"volume", 0, "DB", "-40 to 0 (0: the held notes at -26 LUFS)", HF_OPT_VOLUME + 1},
    {"seed", 0, "N", "everything random comes from it (from the system)", HF_OPT_SEED + 1},
    {"rate", 0, "HZ", "samples a second, 8000 to 192000 (48000; play: the output's)",
     HF_OPT_RATE + 1},
    {"label", 0, "TEXT", "for whom or what; kept in the journal", HF_OPT_LABEL + 1},
    {NULL, 0, NULL, NULL, 0},
};

/* SPDX-License-Identifier: MIT */
/*
 * setclass: the 224 classes of pitch-class sets under transposition and inversion, with Forte's
 * names. Everything about a class is computed; only the order of the names is listed.
 *
 * Classes are constant objects that live as long as the program: compare their addresses. They are
 * computed once at the first call (pthread_once), so any thread may call any function at any time;
 * not for the audio thread.
 */
#ifndef HOLDFAST_SETCLASS_H
#define HOLDFAST_SETCLASS_H

#include <holdfast/pcset.h>
#include <holdfast/status.h>

enum {
    HF_SETCLASSES = 224,    /* the empty set's class 0-1 is one */
    HF_SETCLASS_FORMS = 24, /* members of a class at most */
    HF_SETCLASS_NAME = 8    /* bytes for a name: "6-Z17" */
};

struct hf_setclass {
    int index;                            /* 0 to 223, by size, then number */
    int size;                             /* notes */
    int number;                           /* Forte's, from 1 in each size */
    char name[HF_SETCLASS_NAME];          /* "3-5", "6-Z17" */
    hf_pcset prime;                       /* by Rahn's rule */
    hf_pcset prime_forte;                 /* by Forte's rule */
    int icv[6];                           /* interval-class vector */
    int invariant_tn;                     /* how many Tn keep a member, T0 among them */
    int invariant_tni;                    /* how many TnI */
    int forms;                            /* distinct members */
    const struct hf_setclass *z;          /* the other class with the same vector, or NULL */
    const struct hf_setclass *complement; /* the class of the members' complements */
};

/* The class of a set. Never NULL. */
const struct hf_setclass *hf_setclass_of(hf_pcset set);

/* The class at an index, 0 to 223; NULL outside. */
const struct hf_setclass *hf_setclass_at(int index);

/* The class with Forte's numbers, say (3, 5); NULL where there is none. */
const struct hf_setclass *hf_setclass_find(int size, int number);

/* Reads a Forte name ("3-5", "6-Z17", "6-17") or a prime form by either rule in the notations of a
 * pitch-class list ("016", "(016)", "[0,1,6]", "0 1 6", "{}"). HF_E_USAGE: neither, or another form
 * of the class; then the message names the prime form. */
enum hf_status hf_setclass_parse(const char *text, const struct hf_setclass **out,
                                 struct hf_diag *diag) HF_CHECKED;

/* Writes all members in ascending order of lists; returns how many, the class's `forms`. */
int hf_setclass_members(const struct hf_setclass *of, hf_pcset out[HF_SETCLASS_FORMS]);

/* True for the all-trichord hexachord, the one hexachord class with all twelve trichord classes. */
bool hf_setclass_all_trichord(const struct hf_setclass *of);

/* How many subsets of each class a set has: census[i] for the class of index i, sizes 0 to 12. Only
 * subsets of `size` members are counted. */
void hf_setclass_census(hf_pcset set, int size, int census[HF_SETCLASSES]);

#endif

/* SPDX-License-Identifier: MIT */
/*
 * pcset: sets of pitch classes as masks of twelve bits, and the arithmetic of the published theory
 * on them. Every function is a function of its arguments; nothing is allocated or kept.
 *
 * Terms after Forte, The Structure of Atonal Music (1973), and Rahn, Basic Atonal Theory (1980).
 * A set is a value; bits above the twelfth must be 0. Any thread may call it.
 */
#ifndef HOLDFAST_PCSET_H
#define HOLDFAST_PCSET_H

#include <stdbool.h>
#include <stdint.h>

typedef uint16_t hf_pcset; /* bit n is pitch class n; 0 is the empty set */

enum {
    HF_PCS = 12,               /* pitch classes */
    HF_PCSET_ALL = 0xfff,      /* all twelve */
    HF_SETS = 1 << HF_PCS,     /* how many sets there are */
    HF_SUBSETS_MOST = 924,     /* subsets of one size that a set has at most: 6 of 12 */
    HF_PCSET_TEXT = HF_PCS + 1 /* bytes for hf_pcset_format */
};

/* The pitch class of any whole number: n modulo 12, 0 to 11, for negative n too. */
int hf_pc(int n);

/* The set of `count` numbers, each taken modulo 12. */
hf_pcset hf_pcset_of(const int *pcs, int count);

/* Writes the members in ascending order; returns how many. */
int hf_pcset_list(hf_pcset set, int pcs[HF_PCS]);

int hf_pcset_size(hf_pcset set);
bool hf_pcset_has(hf_pcset set, int pc);
hf_pcset hf_pcset_complement(hf_pcset set);

/* Tn: every member plus n. TnI: n minus every member. Any n. */
hf_pcset hf_pcset_transpose(hf_pcset set, int n);
hf_pcset hf_pcset_invert(hf_pcset set, int n);

/* Order of lists: compares the ascending lists member by member, as words in a dictionary (a list
 * that begins another comes first). Less than, equal to or greater than 0. */
int hf_pcset_compare(hf_pcset a, hf_pcset b);

/* Interval-class vector: icv[k] counts the pairs that lie k + 1 semitones apart, 1 to 6. */
void hf_pcset_icv(hf_pcset set, int icv[6]);

/* The n, as a set of 0 to 11, for which Tn or TnI maps `from` on `to`. With from == to these are
 * the invariances, and their sizes the degrees of symmetry (T0 counts). */
hf_pcset hf_pcset_maps_tn(hf_pcset from, hf_pcset to);
hf_pcset hf_pcset_maps_tni(hf_pcset from, hf_pcset to);

/* Normal order by Rahn: the rotation with the least span, then the least distance from the first
 * member to the last but one, and so on; of equals the one with the lowest first member. Writes it
 * and returns how many members. */
int hf_pcset_normal(hf_pcset set, int pcs[HF_PCS]);

/* Prime form, always with a 0 unless empty. Rahn: of all forms packed from the right (the least
 * last member, then last but one, ...). Forte: least last member, then the least second, third...
 */
hf_pcset hf_pcset_prime(hf_pcset set);
hf_pcset hf_pcset_prime_forte(hf_pcset set);

/* All subsets of `size` members in ascending order of lists; returns how many, 0 where size is
 * negative or more than the set has. */
int hf_pcset_subsets(hf_pcset of, int size, hf_pcset out[HF_SUBSETS_MOST]);

/* Movement from one set to another of the same size: writes to moves[i] by how many semitones, -5
 * to 6, the i-th member of `from` (ascending) moves under the pairing of voices with the least
 * total, and returns that total (0 for empty sets). Of equal pairings one that keeps common notes
 * is taken, of those the one whose largest move is least, then the first found. `moves` may be
 * NULL. Returns -1 for unequal sizes. */
int hf_pcset_movement(hf_pcset from, hf_pcset to, int moves[HF_PCS]);

/* One character a member, T for 10 and E for 11: "016", "39T"; "{}" for the empty set. Returns
 * `text`. */
char *hf_pcset_format(hf_pcset set, char text[HF_PCSET_TEXT]);

#endif

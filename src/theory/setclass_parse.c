/* SPDX-License-Identifier: MIT */
/* Reading the name of a class. Invariant: what is accepted names exactly one class; a set that is
 * no prime form is refused with the prime form, so that a typing slip is never taken for another
 * class silently. */
#include <holdfast/setclass.h>

#include <string.h>

#include <holdfast/notes.h>
#include <holdfast/number.h>

/* A Forte name's parts; false where the text has not its shape: digits, hyphen, maybe Z, digits. */
struct forte_name {
    long size, number;
    bool z;
};

static bool read_forte(const char *text, struct forte_name *name)
{
    size_t size_length = strspn(text, "0123456789");
    const char *number = text + size_length + 1;
    if (!size_length || text[size_length] != '-')
        return false;
    name->z = *number == 'Z' || *number == 'z';
    number += name->z;
    size_t number_length = strspn(number, "0123456789");
    if (!number_length || number[number_length])
        return false;
    return hf_number_whole(text, size_length, 0, 99, &name->size) == HF_NUMBER_FINE &&
           hf_number_whole(number, number_length, 0, 99, &name->number) == HF_NUMBER_FINE;
}

static int classes_of_size(int size)
{
    int number = 1;
    while (hf_setclass_find(size, number))
        number++;
    return number - 1;
}

static enum hf_status find_forte(const char *text, const struct forte_name *name,
                                 const struct hf_setclass **out, struct hf_diag *diag)
{
    const struct hf_setclass *found = hf_setclass_find((int)name->size, (int)name->number);
    if (!found) {
        hf_fail(diag, HF_E_USAGE, "there is no set class %.20s", text);
        if (name->size > HF_PCS)
            hf_advise(diag, "a class has 0 to 12 notes: 3-5 is the fifth class of three notes");
        else
            hf_advise(diag, "the classes of %ld notes are numbered 1 to %d", name->size,
                      classes_of_size((int)name->size));
        return HF_E_USAGE;
    }
    if (name->z && !found->z) {
        hf_fail(diag, HF_E_USAGE, "there is no set class %.20s", text);
        hf_advise(diag, "write %s: it shares its vector with no other class, so it has no Z",
                  found->name);
        return HF_E_USAGE;
    }
    *out = found;
    return HF_OK;
}

static enum hf_status no_class(const char *text, struct hf_diag *diag)
{
    hf_fail(diag, HF_E_USAGE, "\"%.40s\" is no set class", text);
    hf_advise(diag, "write a Forte name (3-5, 6-Z17) or a prime form (016)");
    return HF_E_USAGE;
}

static enum hf_status find_prime(const char *text, const struct hf_notes *notes,
                                 const struct hf_setclass **out, struct hf_diag *diag)
{
    const struct hf_setclass *found = hf_setclass_of(notes->set);
    char prime[HF_PCSET_TEXT];
    bool numbers = notes->kind == HF_NOTES_NUMBERS || notes->kind == HF_NOTES_EMPTY;
    if (numbers && !notes->repeated &&
        (notes->set == found->prime || notes->set == found->prime_forte)) {
        *out = found;
        return HF_OK;
    }
    hf_fail(diag, HF_E_USAGE, "\"%.40s\" is not a prime form", text);
    hf_advise(diag, "the class of these notes is %s: write %s or its prime form %s", found->name,
              found->name, hf_pcset_format(found->prime, prime));
    return HF_E_USAGE;
}

enum hf_status hf_setclass_parse(const char *text, const struct hf_setclass **out,
                                 struct hf_diag *diag)
{
    struct forte_name name;
    struct hf_notes notes;
    struct hf_diag why;
    if (read_forte(text, &name))
        return find_forte(text, &name, out, diag);
    if (hf_notes_parse(text, NULL, &notes, &why) != HF_OK)
        return no_class(text, diag);
    return find_prime(text, &notes, out, diag);
}

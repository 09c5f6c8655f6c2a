/* identifiers.c - what looks as if it identified a patient.
 *
 * Contents: 1. keys  2. dates and long numbers in free text
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/identifiers.h"

#include <ctype.h>
#include <stddef.h>
#include <string.h>

/* 1. Keys */

/* Letters and digits of key in lower case: Patient_ID, patientId and "patient id" become the same. */
static void key_fold(const char *key, char *out, size_t size)
{
    size_t n = 0;
    for (; *key && n + 1 < size; key++)
        if (isalnum((unsigned char)*key))
            out[n++] = (char)tolower((unsigned char)*key);
    out[n] = '\0';
}

/* Keys that name a patient: parts of such keys, and whole ones. */
static const char *const within[] = {
    "patient",    "birth",          "surname",   "firstname", "lastname",      "fullname",  "givenname",  "familyname",
    "forename",   "maidenname",     "recordn",   "recordid",  "medicalrecord", "hospitaln", "hospitalid", "nhsn",
    "nationalid", "socialsecurity", "insurance", "accession", "address",       "postcode",  "zipcode",    "telephone",
    "phonen",     "email",          "geburt",    "nachname",  "vorname"};
static const char *const whole[] = {"name",
                                    "dob",
                                    "mrn",
                                    "ssn",
                                    "id",
                                    "pid",
                                    "nhs",
                                    "chi",
                                    "initials",
                                    "phone",
                                    "casenumber",
                                    "studyid",
                                    "studyinstanceuid",
                                    "subject",
                                    "subjectid"};

bool sm_identifiers_key(const char *key)
{
    char folded[80];
    key_fold(key, folded, sizeof folded);
    for (size_t i = 0; i < sizeof within / sizeof *within; i++)
        if (strstr(folded, within[i]))
            return true;
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        if (strcmp(folded, whole[i]) == 0)
            return true;
    return false;
}

/* 2. Dates and long numbers in free text */

/* A run of digits at s; its value (capped) in *value. Returns its length. */
static size_t digits_at(const char *s, unsigned *value)
{
    size_t n = 0;
    *value = 0;
    for (; isdigit((unsigned char)s[n]); n++)
        if (*value < 100000000u)
            *value = *value * 10 + (unsigned)(s[n] - '0');
    return n;
}

static bool is_day(unsigned x)
{
    return x >= 1 && x <= 31;
}

static bool is_year(unsigned x)
{
    return x >= 1900 && x <= 2099;
}

/* The number of a month that is written as a word at s (0: none), its length in *len. */
static unsigned month_at(const char *s, size_t *len)
{
    static const char months[] = "janfebmaraprmayjunjulaugsepoctnovdec";
    *len = 0;
    while (isalpha((unsigned char)s[*len]))
        ++*len;
    if (*len < 3 || *len > 9)
        return 0;
    for (unsigned m = 0; m < 12; m++) {
        const char *name = months + (size_t)3 * m;
        if (tolower((unsigned char)s[0]) == name[0] && tolower((unsigned char)s[1]) == name[1] &&
            tolower((unsigned char)s[2]) == name[2])
            return m + 1;
    }
    return 0;
}

static size_t separator_at(const char *s)
{
    return strspn(s, " -./,");
}

/* Day, month and year in any common order beginning at s: 3.4.1950, 1950-04-03, 3 April 1950, April 3, 1950, 19500403.
 */
static bool date_at(const char *s)
{
    unsigned part[3] = {0};
    bool word[3] = {false};
    const char *start = s;
    for (size_t i = 0; i < 3; i++) {
        size_t len = digits_at(s, &part[i]);
        if (!len) {
            part[i] = month_at(s, &len);
            word[i] = true;
        }
        if (!part[i])
            return false;
        s += len;
        if (i == 0 && len == 8 && !word[0]) /* yyyymmdd or ddmmyyyy, alone */
            return (is_year(part[0] / 10000) && is_day(part[0] / 100 % 100) && is_day(part[0] % 100)) ||
                   (is_year(part[0] % 10000) && is_day(part[0] / 1000000) && is_day(part[0] / 10000 % 100));
        size_t gap = separator_at(s);
        if (i < 2 && !gap)
            return false;
        s += i < 2 ? gap : 0;
    }
    bool ends = !isalnum((unsigned char)*s) && start != s;
    bool year_last = is_day(part[0]) && is_day(part[1]) && is_year(part[2]) && !word[2];
    bool year_first = is_year(part[0]) && !word[0] && is_day(part[1]) && is_day(part[2]);
    return ends && (year_last || year_first);
}

/* Seven or more digits beginning at s, single spaces, hyphens or dots between groups allowed. */
static bool long_number_at(const char *s)
{
    size_t digits = 0;
    for (size_t i = 0; isdigit((unsigned char)s[i]); i++) {
        digits++;
        if (strchr(" -.", s[i + 1]) && s[i + 1] && isdigit((unsigned char)s[i + 2]))
            i++;
    }
    return digits >= 7;
}

/* The length of a citation's number at s ("doi 10.1000/x", "PMID 123", "PMC123"), 0 if there is none. */
static size_t citation_at(const char *s)
{
    static const char *const marks[] = {"doi", "pmid", "pmc", "10."};
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++) {
        size_t n = strlen(marks[i]), k = 0;
        while (k < n && tolower((unsigned char)s[k]) == marks[i][k])
            k++;
        if (k < n || (i == 3 && !(strlen(s) > 8 && isdigit((unsigned char)s[6]) && s[7] == '/')))
            continue;
        size_t gap = strspn(s + n, ": ");
        return n + gap + strcspn(s + n + gap, " ,;)");
    }
    return 0;
}

const char *sm_identifiers_text(const char *text)
{
    for (const char *s = text; *s;) {
        size_t citation = citation_at(s);
        if (citation) {
            s += citation;
            continue;
        }
        if (date_at(s))
            return "a date";
        if (long_number_at(s))
            return "a long number";
        /* On to the next word or number: the middle of one says nothing. */
        size_t run = 1;
        while (isalnum((unsigned char)s[0]) && isalnum((unsigned char)s[run]) &&
               !isdigit((unsigned char)s[0]) == !isdigit((unsigned char)s[run]))
            run++;
        s += run;
    }
    return NULL;
}

/* status.h - one list of outcomes for every floor, with the exit status that each becomes.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_STATUS_H
#define SM_BASE_STATUS_H

/* name, exit status of the program, words */
#define SM_STATUS_LIST(X)                                                                                              \
    X(SM_OK, 0, "done")                                                                                                \
    X(SM_USAGE, 1, "the command was not understood")                                                                   \
    X(SM_REFUSED, 2, "the input was refused")                                                                          \
    X(SM_NOT_WRITTEN, 3, "the output could not be written")                                                            \
    X(SM_UNRESOLVED, 4, "the trial cap was met before the call was resolved")                                          \
    X(SM_CHECK_FAILED, 5, "a self-check failed")                                                                       \
    X(SM_NO_MEMORY, 70, "out of memory")                                                                               \
    X(SM_NUMERIC, 71, "a computation gave a value that is not a number")                                               \
    X(SM_INTERRUPTED, 130, "interrupted")

#define SM_STATUS_ENUM(name, exit_status, words) name,
typedef enum { SM_STATUS_LIST(SM_STATUS_ENUM) SM_STATUS_COUNT } sm_status;
#undef SM_STATUS_ENUM

/* The exit status that stands for s; 70 for a value outside the list. */
int sm_status_exit(sm_status s);
/* The words for s; never NULL. */
const char *sm_status_words(sm_status s);

#endif

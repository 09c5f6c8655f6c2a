/* status.c - exit status and words of each outcome.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/status.h"

#define SM_STATUS_EXIT(name, exit_status, words)  exit_status,
#define SM_STATUS_WORDS(name, exit_status, words) words,
static const int exits[] = {SM_STATUS_LIST(SM_STATUS_EXIT)};
static const char *const words_of[] = {SM_STATUS_LIST(SM_STATUS_WORDS)};

int sm_status_exit(sm_status s)
{
    return (unsigned)s < SM_STATUS_COUNT ? exits[s] : exits[SM_NO_MEMORY];
}

const char *sm_status_words(sm_status s)
{
    return (unsigned)s < SM_STATUS_COUNT ? words_of[s] : "unknown status";
}

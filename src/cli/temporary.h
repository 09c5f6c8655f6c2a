/* temporary.h - what must not outlast the program: files under temporary names, and folders that were just made.
 *
 * There is one list, because a signal must find it: whatever ends the program, short of SIGKILL, removes what stands on
 * it. Signals are blocked back while the list and the disc are not of one mind.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_TEMPORARY_H
#define SM_CLI_TEMPORARY_H

/* Makes an empty file in the folder. Its name is short, so that it fits wherever another fits, and belongs to the list.
 * The open descriptor, or -1 with errno. */
int sm_temporary_file(const char *folder, const char **name);
/* Makes a folder. 0, or -1 with errno. */
int sm_temporary_folder(const char *path);

/* Removes all that is on the list, the latest first, and empties it. */
void sm_temporary_remove(void);
/* Empties the list: what stands on it stays, or has got another name. */
void sm_temporary_forget(void);

#endif

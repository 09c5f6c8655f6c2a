/* rooms.ts - the rooms of the page, in the order of the masthead.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import { classroom } from "./class/room";
import { help } from "./help";
import { operator } from "./operator/room";
import { readersRoom } from "./readers/room";
import type { Room } from "./room";

export const rooms: Room[] = [operator, readersRoom, classroom, help];

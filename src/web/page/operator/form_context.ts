/* form_context.ts - what every part of the form works with.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Page } from "../room";
import type { CaseDoc } from "./case_doc";
import type { Computing } from "./computing";
import type { Facts } from "./facts";

export interface FormContext {
    page: Page;
    doc: CaseDoc;
    facts: Facts;
    computing: Computing;
    /* The landmark of the field at this pointer lights up; "" for none. */
    light(pointer: string): void;
}

/* Anything of the form that follows the case and what is known of it. */
export interface Part {
    node: HTMLElement;
    update(): void;
}

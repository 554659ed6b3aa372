//! The engine of the page: memory in and out, and the desk behind it. All real work is the library's.

#![expect(
    unsafe_code,
    reason = "a page and its engine share memory by address and length, and nothing else"
)]

use crate::desk::Desk;
use std::cell::RefCell;

thread_local! {
    static DESK: RefCell<Desk> = RefCell::new(Desk::default());
}

/// Memory for a request of so many bytes.
#[unsafe(no_mangle)]
extern "C" fn alloc(length: usize) -> *mut u8 {
    Box::into_raw(vec![0_u8; length].into_boxed_slice()).cast()
}

/// Gives back memory of [`alloc`], or of an answer.
///
/// # Safety
/// Address and length belong together and are given back once.
#[unsafe(no_mangle)]
unsafe extern "C" fn free(at: *mut u8, length: usize) {
    let bytes = std::ptr::slice_from_raw_parts_mut(at, length);
    // SAFETY: made by `Box::into_raw` of a boxed slice of this length, by the contract above.
    drop(unsafe { Box::from_raw(bytes) });
}

/// Answers a request: address of the answer in the high 32 bits, its length in the low ones.
///
/// # Safety
/// Address and length are those of a request that the caller has filled.
#[unsafe(no_mangle)]
unsafe extern "C" fn call(at: *const u8, length: usize) -> u64 {
    // SAFETY: the caller owns these bytes, by the contract above.
    let request = unsafe { std::slice::from_raw_parts(at, length) };
    let answer = DESK.with_borrow_mut(|desk| desk.call(request));
    let length = answer.len() as u64;
    let at: *mut u8 = Box::into_raw(answer.into_boxed_slice()).cast();
    ((at.addr() as u64) << 32) | length
}

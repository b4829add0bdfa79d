// Loaded before the program in tests: something in it goes wrong once its screen has stood for a while.
const { FIRST_RASTER_TEST_FAILURE: kind = '', FIRST_RASTER_TEST_FAILURE_MS: ms = '4000' } = process.env;

if (kind !== '') {
  setTimeout(() => {
    if (kind === 'exception') throw new Error('failure for a test');
    if (kind === 'rejection') Promise.reject(new Error('failure for a test'));
  }, Number(ms));
}

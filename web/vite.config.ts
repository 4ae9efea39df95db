import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

export default defineConfig({
  plugins: [svelte()],
  build: { target: 'es2022', assetsInlineLimit: 0 },
  server: { proxy: { '/api': process.env.LANDGAP_API ?? 'http://127.0.0.1:8787' } },
  test: { environment: 'jsdom', include: ['src/**/*.test.ts'] },
});
